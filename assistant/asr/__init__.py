"""Sound to n-best words."""
