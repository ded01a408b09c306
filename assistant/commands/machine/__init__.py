"""Commands on this machine."""
