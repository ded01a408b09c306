"""Pages made from templates: one engine, with the same settings for every folder of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from jinja2 import ChoiceLoader, DictLoader, Environment, FileSystemLoader, StrictUndefined

FILE = """<!doctype html>
<html lang="en-US">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{{ title }}</title>
<style>{{ look }}</style>
</head>
{% block body %}
{% endblock %}
</html>
"""
"""The shell of a page that is a file of its own, ``file.html``: with its ``title`` and ``look`` (style sheet)."""


@cache
def engine_of(folder: Path) -> Environment:
    """The engine of a folder's templates: text is escaped, and a name that nobody gave is an error."""
    return Environment(
        loader=ChoiceLoader([FileSystemLoader(folder), DictLoader({"file.html": FILE})]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
