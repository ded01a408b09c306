"""Effects to sentences to sound."""
