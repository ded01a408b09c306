"""What could be said now, and what was meant."""
