"""One handler for each way in which a session can move."""
