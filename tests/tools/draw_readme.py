"""Developer's tool: makes the pictures of the README anew, all by one command.

Usage: python -m tests.tools.draw_readme [--drawn-only]

All of them come from one demo scene: the session as a moving picture and where the hands go (drawn, exactly the same
each time), the first page of a report (printed) and a phone (photographed with Chromium). What those two say is kept
beside them as a hash, so that a test can tell when they have to be made anew, on a machine without a browser too.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import re
import shutil
import subprocess
import tempfile
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

from PIL import Image

from assistant.display.view import standing
from assistant.pictures.sheet import pictures_of
from assistant.pictures.style import STYLE
from assistant.records.journal.reader import Session
from assistant.records.report.exhibits import exhibits_of
from assistant.records.report.page import Told, html_report
from assistant.records.report.path import path_of
from assistant.records.report.pdf import as_pdf
from assistant.records.summary.collect import summarize
from assistant.session.context import Context
from assistant.session.fold import State, apply, begin
from assistant.session.saying.questions import expectation
from assistant.svg import number
from tests.tools.drawing.draw_session import SCENE, elements, film, played
from tests.web.browser import chromium, chromium_path, say_into, served
from tests.web.screen.screens import Shown

FOLDER = Path("demo_sessions")
CHECK = ("trailer-abs-light-on", "tractor blue loaded")
"""The check whose pictures stand in the README."""
SAYS = FOLDER / "pictures.json"
"""What the photographed pictures say, as a hash for each."""
PHONE = (390, 844)


def hands() -> str:
    """All pictures of one check as one."""
    context = played(SCENE)[1]
    check = context.check(CHECK[1])
    made = {one.kind: one for one in pictures_of(context.procedure, check, facts={"brakes": "drum"})}
    root = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "class": "hands", "role": "img"})
    root.set("aria-label", f"{check.title}: {made['circuit'].told}")
    ET.SubElement(root, "style").text = STYLE + PAPER_LOOK
    ground = ET.SubElement(root, "rect", {"class": "paper"})
    ends = [12.0, 12.0]
    for kind, column in (("circuit", 0), ("meter", 0), ("seven-way", 1), ("plan", 1)):
        drawing = made[kind].drawing
        high = drawing.height - drawing.top
        box = ET.SubElement(root, "svg", {
            "x": number(12 + 388 * column), "y": number(ends[column]), "width": "360", "height": number(high),
            "viewBox": drawing.box,
        })  # fmt: skip
        box.extend(elements(drawing))
        ends[column] += high + 14
    for one, name in ((root, "viewBox"), (ground, "")):
        if name:
            one.set(name, f"0 0 772 {number(max(ends))}")
        one.set("width", "772")
        one.set("height", number(max(ends)))
    return ET.tostring(root, encoding="unicode") + "\n"


PAPER_LOOK = """
svg.hands > .paper { fill: #fff; }
@media screen and (prefers-color-scheme: dark) { svg.hands > .paper { fill: #071216; } }
"""


def shown_on_the_phone(session: Session, context: Context) -> dict[str, Any]:
    """What the page shows when the repaired sensor is to be read again."""
    state = _before(session, context, summarize(session).readings[-1].observed.number)
    state = replace(
        state, dialog=replace(state.dialog, live=True)
    )  # as it stood when it was asked, with all its keys
    return standing(context, state, expectation(context, state))


def _before(session: Session, context: Context, reading: int) -> State:
    state = begin(context)
    for _, entry in session.entries():
        for decision in entry.decisions:
            if decision.kind == "observed" and decision.number == reading:
                return state
            state = apply(context, state, decision)
    raise ValueError(f"the scene has no reading {reading}")


def report_page(session: Session, context: Context) -> str:
    """The report of the scene, as HTML."""
    return html_report(
        summarize(session),
        context.vocabulary,
        Told(path_of(session, context), exhibits=exhibits_of(session, context, summarize(session))),
    )


def says() -> dict[str, str]:
    """A hash of the words of each photographed picture."""
    session, context = played(SCENE)
    screen = shown_on_the_phone(session, context)
    screen["pictures"] = [one["told"] for one in screen["pictures"]]
    first = report_page(session, context).split('class="behind"')[0]  # what follows is on later pages
    words = re.sub(r"<style>.*?</style>|<[^>]+>", " ", first, flags=re.DOTALL)
    for of_the_record in (session.header.session_id, summarize(session).seal):
        words = words.replace(of_the_record, "")  # change with any word of the grammars, and the picture does not
    told = {"phone": json.dumps(screen, sort_keys=True, default=str), "report": " ".join(unescape(words).split())}
    return {name: hashlib.sha256(text.encode()).hexdigest()[:16] for name, text in told.items()}


def photograph(folder: Path) -> None:
    """The phone, as WebP."""
    session, context = played(SCENE)
    path = chromium_path()
    if path is None:
        raise SystemExit("Chromium is not installed (Debian: apt-get install chromium).")
    with tempfile.TemporaryDirectory() as place:
        say_into(Path(place) / "said.wav", None)
        with chromium(path, Path(place) / "said.wav") as browser, served(browser, Path(place) / "records") as floor:
            size = {"width": PHONE[0], "height": PHONE[1]}
            phone = floor.screen(viewport=size, has_touch=True, is_mobile=True, device_scale_factor=1.5)
            Shown(phone, floor.base).show(shown_on_the_phone(session, context))
            phone.wait_for_timeout(600)
            _save(phone.screenshot(), folder / "phone.webp")


def print_report(folder: Path) -> None:
    """The first page of the report's PDF, as WebP; Poppler turns it into dots."""
    pages = as_pdf(report_page(*played(SCENE)))
    if shutil.which("pdftoppm") is None:
        raise SystemExit("Poppler is not installed (Debian: apt-get install poppler-utils).")
    first = subprocess.run(
        ["pdftoppm", "-r", "110", "-f", "1", "-l", "1", "-png", "-"], input=pages, stdout=subprocess.PIPE, check=True
    )
    _save(first.stdout, folder / "report.webp")


def _save(picture: bytes, path: Path) -> None:
    with Image.open(io.BytesIO(picture)) as opened:
        opened.save(path, "WEBP", quality=80, method=6)


def main() -> None:
    """Make them all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--drawn-only", action="store_true", help="leave out what needs a browser")
    drawn_only = parser.parse_args().drawn_only
    (FOLDER / "session.svg").write_text(film(), encoding="utf-8")
    (FOLDER / "hands.svg").write_text(hands(), encoding="utf-8")
    if not drawn_only:
        print_report(FOLDER)
        photograph(FOLDER)
        SAYS.write_text(json.dumps(says(), indent=2) + "\n", encoding="utf-8")
    for name in ("session.svg", "hands.svg", "phone.webp", "report.webp"):
        if (FOLDER / name).exists():
            print(f"{name}: {(FOLDER / name).stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
