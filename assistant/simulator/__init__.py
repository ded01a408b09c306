"""Simulated units and sessions led on them."""
