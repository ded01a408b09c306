"""What a record amounts to."""
