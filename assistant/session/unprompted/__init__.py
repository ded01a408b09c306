"""What is told without being asked: several things in one breath, of another place, corrections, reports."""
