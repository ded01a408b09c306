"""What every table of a procedure file has in common."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Name = Annotated[str, Field(min_length=1, max_length=80)]
Sentence = Annotated[str, Field(min_length=1, max_length=600)]
Minutes = Annotated[float, Field(ge=0, le=600)]
When = dict[str, str | tuple[str, ...]]
PLACE = "place"
"""In the conditions of an access and of limits: the name that stands for the place where it is, and for no fact."""


class Table(BaseModel):
    """Base of every table: frozen, and a key that is not known is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)
