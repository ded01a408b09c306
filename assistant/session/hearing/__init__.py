"""What words that were heard tell, each kind in a file; ``session.heard`` has them in order."""
