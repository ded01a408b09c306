"""Commands that lead a session."""
