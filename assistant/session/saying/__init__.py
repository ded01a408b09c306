"""What the session says next, as values: questions, replies, announcements."""
