"""Commands, yes and no: as short forms, in free talk, as a state told, at cautions; how work was done."""
