"""Pictures of where the hands go: the circuit with both tips, the seven-way's face, the meter, a plan of the unit."""
