"""Leadsman: a hands-free voice and chat assistant for the heavy-duty truck and trailer technician."""

import os

__version__ = "0.2.0"

# Nothing leaves this machine. The library that runs the networks (onnxruntime, from 1.29 on) else starts a sender to
# its makers when it is imported, keeps a number of this device in the user's cache, and draws from the generator of
# the recognizer's dither, so that a sound could be heard otherwise in a replay. Its Privacy.md names this.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"
