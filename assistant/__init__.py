"""Leadsman: a hands-free voice and chat assistant for the heavy-duty truck and trailer technician."""

__version__ = "0.2.0"
