"""What a procedure promises: the figures that ``leadsman prove`` must reach on simulated units."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Share = Annotated[float, Field(ge=0, le=1)]


class Figures(BaseModel):
    """Declared by a procedure; its tests fail where proving it does not reach them. For units without slips.

    What no check tells apart is declared beside the faults themselves, by ``same_as``.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, use_attribute_docstrings=True)

    found: Share
    """Share of units found and proven cured, at least."""
    isolated: tuple[Share, Share, Share]
    """Share of those with at most one, two, three cures still in question at the right fix, at least."""
    minutes: tuple[float, float]
    """Working minutes to a proven cure, median and 90th percentile, at most."""
    good_parts: Annotated[float, Field(ge=0)] = 0.0
    """Good parts condemned by a check, for each session, at most; what is above 0 is a flaw of the procedure."""
