"""Where we are, what is still suspected, what to test next."""
