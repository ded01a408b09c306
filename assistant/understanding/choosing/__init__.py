"""Which of a prompt's choices was meant."""
