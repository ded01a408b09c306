"""A record for readers: page, PDF, transcript, CSV and JSON."""
