"""Sound: devices, frames, voice activity, segments."""
