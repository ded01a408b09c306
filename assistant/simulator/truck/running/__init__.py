"""A unit's running gear as a mechanism: air brakes with their adjusters, and tires."""
