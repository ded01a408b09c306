"""What a session amounts to: what observations say, what came of the fixes, and the whole of it."""
