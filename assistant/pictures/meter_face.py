"""The meter: where the dial stands, and which hole each lead is in."""

from __future__ import annotations

import math

from assistant.pictures.style import STYLE
from assistant.procedure.hands import Probe
from assistant.svg import Drawing

WIDTH, HEIGHT = 360.0, 150.0
DIAL = ("off", "DC volts", "AC volts", "ohms", "DC amps")
"""Stands of the dial, clockwise; what a procedure can ask for, and off."""
HOLES = (("amps", "amps"), ("black", "common"), ("volts", "volts, ohms"))
"""Holes from left to right, by the jack of a procedure, and as they are named."""
_X, _Y, _RING = 96.0, 78.0, 40.0


def angle(stand: str) -> float:
    """Where a stand lies on the dial, in degrees clockwise from the top."""
    return -90.0 + 45.0 * DIAL.index(stand)


def draw_meter(probe: Probe, title: str, told: str) -> Drawing:
    """Dial and holes."""
    drawing = Drawing(WIDTH, HEIGHT, title, told=told, kind="hands", style=STYLE)
    drawing.circle(_X, _Y, _RING, "dialface")
    for stand in DIAL:
        turn = math.radians(angle(stand) - 90)
        now = stand == probe.dial
        drawing.line(
            _X + (_RING - 5) * math.cos(turn), _Y + (_RING - 5) * math.sin(turn),
            _X + _RING * math.cos(turn), _Y + _RING * math.sin(turn), "sign",
        )  # fmt: skip
        x, y = _X + (_RING + 8) * math.cos(turn), _Y + (_RING + 8) * math.sin(turn)
        side = "middle" if abs(math.cos(turn)) < 0.1 else "start" if math.cos(turn) > 0 else "end"
        drawing.text(x, y + 4, stand, "now" if now else "", side)
        if now:
            drawing.line(_X, _Y, _X + (_RING - 10) * math.cos(turn), _Y + (_RING - 10) * math.sin(turn), "pointer")
    jack = "volts" if probe.jack == "ohms" else probe.jack
    for number, (name, words) in enumerate(HOLES):
        x, y = 206.0 + 60 * number, 96.0
        drawing.circle(x, y, 11, "hole")
        drawing.text(x, y + 28, words, "now" if name in (jack, "black") else "", "middle")
        color = "red" if name == jack else "black" if name == "black" else ""
        if color:
            for kind in ("casing", f"lead {color}"):
                drawing.line(x, 40, x, y, kind)
            drawing.circle(x, y, 6, f"tip {color}")
            drawing.rect(x - 19, 24, 38, 16, f"tip {color}", rx="3")
            drawing.text(x, 36, color, f"b {color}", "middle")
    return drawing
