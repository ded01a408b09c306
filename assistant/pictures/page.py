"""Pictures as a page of its own, to look at and to print."""

from __future__ import annotations

from pathlib import Path

from markupsafe import Markup

from assistant.phrasing.pictures import COUNTS
from assistant.phrasing.wording import at_place, first_up
from assistant.pictures.outline import Box, outline_of
from assistant.pictures.sheet import Picture, pictures_of, places_of, words_of
from assistant.procedure.model import Check, Procedure
from assistant.templates import engine_of

_TEMPLATES = Path(__file__).parent / "templates"


def drawn(picture: Picture) -> Markup:
    """The picture as markup; it carries its look, which those who print pages read nowhere else."""
    return Markup(picture.drawing.svg())  # noqa: S704 - escaped by its maker


def look() -> Markup:
    """The style sheet of these pages."""
    return Markup((_TEMPLATES / "page.css").read_text(encoding="utf-8"))  # noqa: S704 - our own


def check_page(procedure: Procedure, check: Check, place: str | None) -> str:
    """One check: all of its pictures and the same in words, as a self-contained page."""
    return (
        engine_of(_TEMPLATES)
        .get_template("check.html")
        .render(
            title=first_up(at_place(check.title, place)),
            under=procedure.title,
            ask=check.ask.replace("{place}", place or ""),
            pictures=[(one.title, drawn(one)) for one in pictures_of(procedure, check, place)],
            words=words_of(procedure, check, place),
            look=look(),
        )
    )


def procedure_page(procedure: Procedure) -> str:
    """A whole procedure as a self-contained page to print: bands of boxes, checks with where their tips go."""
    bands = [
        (band.title, [(box.title, box.lines, _first_picture(procedure, box)) for box in band.boxes])
        for band in outline_of(procedure)
    ]
    return (
        engine_of(_TEMPLATES)
        .get_template("procedure.html")
        .render(
            title=first_up(procedure.title),
            summary=procedure.summary,
            counts=COUNTS.format(
                checks=len(procedure.checks), faults=len(procedure.faults), fixes=len(procedure.fixes)
            ),
            bands=bands,
            look=look(),
        )
    )


def _first_picture(procedure: Procedure, box: Box) -> Markup | None:
    """The circuit of a check, at its first place; None where it has none."""
    if box.check is None or box.check.probe is None:
        return None
    made = pictures_of(procedure, box.check, places_of(procedure, box.check)[0])
    return next((drawn(one) for one in made if one.kind == "circuit"), None)


def procedure_text(procedure: Procedure) -> str:
    """The same in words, for a terminal."""
    rows = [first_up(procedure.title), procedure.summary]
    for band in outline_of(procedure):
        rows += ["", band.title]
        for box in band.boxes:
            rows.append(f"  {box.title}")
            rows += [f"    {line}" for line in box.lines]
            if box.check is not None:
                told = words_of(procedure, box.check, places_of(procedure, box.check)[0])
                rows += [f"    {' '.join(told)}"] if told else []
    return "\n".join(rows) + "\n"
