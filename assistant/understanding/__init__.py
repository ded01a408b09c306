"""What was meant by what was heard."""
