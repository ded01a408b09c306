"""What a screen shows of a session."""
