"""The index over many journals."""
