"""A tractor with its own ABS: four or six sensors, three to six modulators, a module with a few large plugs."""
