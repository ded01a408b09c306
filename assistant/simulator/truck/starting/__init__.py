"""A 12-volt truck's batteries, starter and charging."""
