"""The network behind the second opinion: its weights, its graph, and its pieces of words."""
