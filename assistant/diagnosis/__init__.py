"""Sequential diagnosis: what is suspected, and which action costs least. Numbers only."""
