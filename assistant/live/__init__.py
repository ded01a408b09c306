"""A live session on this machine: microphone, loudspeaker and keyboard at once."""
