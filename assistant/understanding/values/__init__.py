"""Numbers with their units, ranges and names of units, found in what was said."""
