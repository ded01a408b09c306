"""Two or three trailers behind one tractor, with their dollies, cords and ABS modules."""
