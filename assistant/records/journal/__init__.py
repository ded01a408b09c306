"""The journal: its format, the disk, reading and checking it."""
