"""Reading, limits, meter and temperature to a verdict."""
