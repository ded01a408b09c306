"""Setting the machine up: the speech model, and what is present or missing."""
