"""Pages made from templates: one engine, with the same settings for every folder of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined


@cache
def engine_of(folder: Path) -> Environment:
    """The engine of a folder's templates: text is escaped, and a name that nobody gave is an error."""
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
