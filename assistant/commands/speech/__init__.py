"""Commands on words and sound."""
