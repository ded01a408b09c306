"""A trailer's light circuits: lamps, wires, what can be wrong with them, what is seen of them, and who comes in."""
