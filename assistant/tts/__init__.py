"""Sentences to sound."""
