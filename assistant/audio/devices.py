"""What this machine has for sound: microphone, loudspeaker, speech library; each with its remedy when it is missing.

Nothing here raises: whatever a broken driver throws becomes one plain line.
"""

from __future__ import annotations

import ctypes
import importlib.util
import platform
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

System = Literal["debian", "fedora", "macos", "windows", "linux"]


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that is missing, in one plain line."""

    text: str
    """What is missing and what that means, as a sentence."""
    remedy: str
    """What to do about it on this system."""


def system() -> System:
    """The kind of system this is, as far as remedies differ."""
    kind = platform.system()
    if kind == "Darwin":
        return "macos"
    if kind == "Windows":
        return "windows"
    try:
        release = platform.freedesktop_os_release()
    except OSError:
        release = {}
    family = f"{release.get('ID', '')} {release.get('ID_LIKE', '')}".lower()
    if "debian" in family or "ubuntu" in family:
        return "debian"
    if any(name in family for name in ("fedora", "rhel", "centos")):
        return "fedora"
    return "linux"


def pick(remedies: Mapping[str, str]) -> str:
    """The remedy for this system; ``linux`` stands for every Linux that is not named."""
    here = system()
    return remedies.get(here) or remedies.get("linux", "")


def speech_problem() -> Problem | None:
    """Why nothing can be spoken, or None: the library that pyttsx3 speaks with on this system."""
    if importlib.util.find_spec("pyttsx3") is None:
        return Problem("The package pyttsx3 is not installed, so nothing is spoken.", "Run: pip install pyttsx3")
    here = system()
    if here == "macos":
        found = importlib.util.find_spec("objc") is not None
        remedy = "Run: pip install pyobjc"
    elif here == "windows":
        found = importlib.util.find_spec("comtypes") is not None
        remedy = "Run: pip install comtypes pywin32"
    else:
        found = any(_loads(name) for name in ("libespeak-ng.so.1", "libespeak.so.1"))
        remedy = pick(
            {
                "debian": "Run: sudo apt install espeak-ng",
                "fedora": "Run: sudo dnf install espeak-ng",
                "linux": "Install the package espeak-ng.",
            }
        )
    return None if found else Problem("The speech library is missing, so nothing is spoken.", remedy)


def loudspeaker_problem() -> Problem | None:
    """Why nothing could be heard, or None."""
    return _device_problem(
        "output", "No loudspeaker was found, so nothing is spoken.", "Connect one and start again."
    )


def microphone_problem() -> Problem | None:
    """Why nothing could be recorded, or None."""
    remedy = pick(
        {
            "macos": "Connect one, and allow the terminal to use it under Privacy & Security, Microphone.",
            "windows": "Connect one, and allow desktop apps to use it under Privacy, Microphone.",
            "linux": "Connect one and start again.",
        }
    )
    return _device_problem("input", "No microphone was found; typed answers and recordings still work.", remedy)


def hush_driver() -> None:
    """Keep what Linux's sound library prints off the terminal: our own sentences say what is wrong."""
    global _quiet  # noqa: PLW0603 - the library keeps the address, so it must live on
    if platform.system() != "Linux" or _quiet is not None:
        return
    try:
        library = ctypes.CDLL("libasound.so.2")
        _quiet = ctypes.CFUNCTYPE(
            None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p
        )(lambda *_: None)
        library.snd_lib_error_set_handler(_quiet)
    except (OSError, AttributeError):
        return


_quiet: object = None


def device_name(kind: Literal["input", "output"]) -> str:
    """Name of the system's default microphone or loudspeaker, '' when it is not known."""
    try:
        import sounddevice

        return str(sounddevice.query_devices(kind=kind)["name"])
    except Exception:  # noqa: BLE001 - drivers throw what they like
        return ""


def _device_problem(kind: Literal["input", "output"], absent: str, remedy: str) -> Problem | None:
    try:
        import sounddevice
    except (ImportError, OSError):
        return Problem(
            "The sound library PortAudio is missing: no microphone and no loudspeaker can be used.",
            pick(
                {
                    "debian": "Run: sudo apt install libportaudio2",
                    "fedora": "Run: sudo dnf install portaudio",
                    "macos": "Run: brew install portaudio",
                    "windows": "Run: pip install --force-reinstall sounddevice",
                    "linux": "Install the package portaudio.",
                }
            ),
        )
    try:
        sounddevice.query_devices(kind=kind)
    except Exception:  # noqa: BLE001 - drivers throw what they like
        return Problem(absent, remedy)
    return None


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
