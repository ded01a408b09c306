"""What hands do to the unit, where the meter's tips stand and what eyes look at: as data, in the unit's own names.

One place for what an instruction means. A simulated technician does exactly this and nothing more, on a unit that
knows nothing of the procedure, so that a condition which an instruction forgets stays as it was. ``{place}`` is
filled in everywhere, and so is what the unit has a meaning for, such as ``{pin}`` for 'the circuit's pin'.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from assistant.procedure.base import Name, Table


class Load(Table):
    """A tester's load and the two nodes that it sits between."""

    plus: Name
    """Node of its hot end."""
    minus: Name
    """Node of its other end."""
    kind: Name = "tester"
    """Which load it is: the ten amp tester or what stands for it, or another that the unit names."""


class Ends(Table):
    """Two nodes that a wire or a battery joins."""

    plus: Name
    """Node of the hot end."""
    minus: Name
    """Node of the other end."""


class Hands(Table):
    """What is done to the unit. What is not named stays as it is."""

    unplug: tuple[Name, ...] = ()
    """Connectors to open."""
    plug: tuple[Name, ...] = ()
    """Connectors to close; before the key is turned."""
    key: Literal["on", "off", "cycled"] | None = None
    """Key on, off, or off and on again."""
    engine: Literal["running", "off"] | None = None
    """The tractor's engine."""
    pedal: Literal["held down"] | None = None
    """The brake pedal, for as long as this check lasts."""
    switch: dict[Name, Name] = Field(default_factory=dict)
    """Switches, and what each is set to from here on."""
    hold: dict[Name, Name] = Field(default_factory=dict)
    """Switches that are held or set only for as long as this check lasts."""
    jumper: Ends | None = None
    """A wire between two nodes, for as long as this check lasts."""
    feed: Ends | None = None
    """A charged battery between two nodes, for as long as this check lasts."""
    stand_in: tuple[Name, ...] = ()
    """Parts in whose place a known good one sits, for as long as this check lasts."""
    load: Load | None = None
    """Where the tester's load sits from here on; the one that sat elsewhere moves."""
    load_off: bool = False
    """True when the load comes off."""
    lift: Name | None = None
    """Wheel that is raised, its spring brake released."""
    lower: Name | None = None
    """Wheel that is let down."""
    turn: Name | None = None
    """Wheel that is turned by hand while this check lasts."""
    pace: Annotated[float, Field(ge=0, le=5)] = 0.5
    """Turns a second of it."""
    move: bool = False
    """True when wires and plugs are flexed while this check lasts, wetted or warmed where that is when it fails."""
    warm: bool = False
    """True when the load stays on until what carries it is as warm as on the road."""
    clear_codes: bool = False
    """True when the codes are cleared."""
    put_back: bool = False
    """True when everything is put back as it was."""
    roll: Annotated[float, Field(gt=0, le=70)] | None = None
    """Miles an hour at which the unit is driven."""
    renew: tuple[Name, ...] = ()
    """Parts that are mended, adjusted or replaced."""


class Probe(Table):
    """Where the meter's tips stand, and what the dial and the red lead's jack are."""

    dial: Literal["DC volts", "AC volts", "ohms", "DC amps"]
    """Where the dial stands."""
    jack: Literal["volts", "ohms", "amps"]
    """Jack of the red lead."""
    red: Name | tuple[Name, ...]
    """Node of the red tip; several where each is measured in turn."""
    black: Name | tuple[Name, ...]
    """Node of the black tip; several where it moves with the red one."""
    of: Literal["highest", "lowest", "farthest"] = "highest"
    """Which of several readings is told; ``farthest`` from what is typical."""


class Sees(Table):
    """What is looked at, listened to or read off, and what each finding is called here."""

    what: Name
    """Name of what the unit shows."""
    answers: dict[str, str] = Field(default_factory=dict)
    """What the unit shows, to the answer it is here; what is not named is the answer itself."""
