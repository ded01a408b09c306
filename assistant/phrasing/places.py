"""Places in words, the same everywhere."""

from __future__ import annotations


def at_place(title: str, place: str | None) -> str:
    """A title with its place: 'resistance at the sensor, left rear'."""
    return f"{title}, {place}" if place else title
