"""Commands, yes and no: in free talk, as a state told, at cautions; how work was done."""
