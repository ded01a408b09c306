"""What an action is worth: a policy by rules of thumb, each action on top of it, and how far to look ahead."""
