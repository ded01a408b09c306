"""What a session asks next: the prompt, the next action, and what follows by itself."""
