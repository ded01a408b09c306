"""Commands on procedures."""
