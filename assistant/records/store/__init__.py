"""Where journals lie: a folder, or PostgreSQL."""
