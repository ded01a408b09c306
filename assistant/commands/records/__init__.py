"""Commands on records."""
