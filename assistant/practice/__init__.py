"""A simulated unit with a hidden fault."""
