"""The record of a session and everything read from it."""
