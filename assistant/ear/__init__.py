"""Everything that makes ``Heard`` facts."""
