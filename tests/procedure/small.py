"""A small sound procedure (invented), as text, for tests that break it in one place."""

SMALL = """format = 1
name = "lamp"
title = "lamp is dark"
summary = "Finds why a lamp is dark."
complaint = "Lamp is dark."

[[cautions]]
name = "stands"
say = "Two stands before you go under."
source = "common practice, no source"

[[facts]]
name = "brakes"
ask = "Disc or drum?"
choices = [{ name = "disc" }, { name = "drum" }]

[[places]]
name = "left"
group = "wheel"

[[places]]
name = "right"
group = "wheel"

[[access]]
name = "cover"
each = "wheel"
say = "Take the cover off at {place}."
minutes = 2.5
cautions = ["stands"]
when = { brakes = "drum" }

[[checks]]
name = "volts"
title = "volts at the lamp"
each = "wheel"
ask = "How many volts at {place}?"
unit = "V"
span = [0, 30]
minutes = 1
needs = ["cover"]
[checks.limits]
low = 9.5
source = "common practice, no source"
[checks.finds]
"wire open" = { low = 0.9, good = 0.1 }

[[checks]]
name = "look"
title = "look at the lamp"
kind = "choice"
ask = "Is the lamp whole or broken?"
minutes = 1
otherwise = "whole"
choices = [{ name = "whole" }, { name = "broken" }]
condemns = ["broken"]
[checks.finds]
"lamp dead" = "broken"

[[faults]]
name = "wire open"
title = "open wire"
each = "wheel"
weight = 1
fix = "mend"

[[faults]]
name = "lamp dead"
title = "dead lamp"
weight = 2.5
fix = "swap"

[[fixes]]
name = "mend"
title = "wire mended"
each = "wheel"
say = "Mend the wire at {place}."
minutes = 10

[[fixes]]
name = "swap"
title = "lamp replaced"
say = "Fit a new lamp."
minutes = 5
part = "lamp"

[proof]
source = "common practice, no source"

[[proof.steps]]
name = "light"
say = "Is the lamp lit or dark?"
kind = "choice"
choices = [{ name = "lit" }, { name = "dark" }]
passes = ["lit"]
"""


def broken(old: str, new: str) -> str:
    """The small procedure with one piece replaced."""
    assert SMALL.count(old) >= 1, old
    return SMALL.replace(old, new, 1)


def line_of(text: str, piece: str) -> int:
    """Line, counted from 1, on which a piece of text first stands."""
    return text[: text.index(piece)].count("\n") + 1
