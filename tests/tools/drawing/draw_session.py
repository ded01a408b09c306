"""Developer's tool: a demo scene as a moving picture, from the first reading to the verified repair.

One frame a reading, repair or last step: what was asked and answered, where the tips stood, the value, its verdict.
The frames follow each other by the style sheet alone (CSS Animations Level 1, W3C); who wants no motion, and what
does not move, shows the last one.
"""

from __future__ import annotations

import tempfile
import textwrap
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

from assistant import svg
from assistant.commands.lead.demo import run_scene
from assistant.display.terminal import Screen
from assistant.messages.decisions import Observed
from assistant.phrasing.verdicts import graded, mark_of
from assistant.phrasing.wording import at_place, clock, ending_words, first_up, limits_of, read
from assistant.pictures.sheet import Picture, pictures_of
from assistant.pictures.style import STYLE
from assistant.records.journal.reader import Session
from assistant.records.report.talk import Turn, turns_of
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import find
from assistant.records.summary.collect import summarize
from assistant.records.summary.summary import Repair
from assistant.scenes import load_scene
from assistant.session.context import Context
from assistant.session.fold import apply, begin
from assistant.session.observing.standing import Standing
from assistant.session.observing.standing import standing as standing_now

WIDTH, HEIGHT = 820.0, 400.0
SECONDS = 4.0
"""How long a frame stands."""
LEFT, RIGHT = 24.0, 430.0
SCENE = "sensor-open-behind-a-drum"
QUOTED = "\N{LEFT DOUBLE QUOTATION MARK}{}\N{RIGHT DOUBLE QUOTATION MARK}"
LOOK = """
svg.film > rect.ground { fill: #fbfaf6; } svg.film text.head { font-size: 15px; font-weight: 700; }
svg.film text.ask { font-size: 16px; } svg.film text.said { font-size: 19px; font-weight: 700; fill: #7a3b00; }
svg.film text.value { font-size: 30px; font-weight: 700; } svg.film text.limit { font-size: 14px; fill: #46525f; }
svg.film .rope { stroke: #b59a63; stroke-width: 4; stroke-dasharray: 7 3; } svg.film .weight { fill: #1d2733; }
svg.film .mark.good { fill: #17694d; } svg.film .mark.bad { fill: #a8261c; } svg.film .mark.close { fill: #8a5a00; }
svg.film .tick { fill: none; stroke: #fff; stroke-width: 3.4; stroke-linecap: round; stroke-linejoin: round; }
svg.film text.good { fill: #17694d; } svg.film text.bad { fill: #a8261c; } svg.film text.close { fill: #8a5a00; }
@media screen and (prefers-color-scheme: dark) {
svg.film > rect.ground { fill: #0c1c23; } svg.film text.said { fill: #f0bd8c; } svg.film text.limit { fill: #bfd0d4; }
svg.film .weight { fill: #eef3f4; }
svg.film .mark.good { fill: #86e0a5; } svg.film .mark.bad { fill: #ffb0a6; } svg.film .mark.close { fill: #ffd07a; }
svg.film .tick { stroke: #0c1c23; }
svg.film text.good { fill: #86e0a5; } svg.film text.bad { fill: #ffb0a6; } svg.film text.close { fill: #ffd07a; }
}
"""


@dataclass(frozen=True, slots=True)
class Frame:
    """One moment."""

    at: float
    title: str
    ask: str
    said: str
    value: str = ""
    mark: str = ""
    """``good``, ``bad``, ``close`` or ''."""
    verdict: str = ""
    limit: str = ""
    picture: Picture | None = None


@cache
def played(scene: str) -> tuple[Session, Context]:
    """A scene's record, led from its typed answers, and what it was led with."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        work, _ = run_scene(stack, load_scene(scene), folder, _Quiet(), None)
        return find(FolderStore(folder), work.header.session_id), work.context


class _Quiet(Screen):
    """Shows nothing."""

    def line(self, at: float, speaker: str, text: str, mark: str = "") -> None:
        """Leave it out."""

    def notice(self, text: str) -> None:
        """Leave it out."""


def frames_of(session: Session, context: Context) -> list[Frame]:
    """Every reading with a meter or a wheel in it, every repair, and the end."""
    one, turns = summarize(session), turns_of(session)
    withdrawn = {each.observed.number for each in one.readings if each.withdrawn}
    found: list[Frame] = []
    # of a check that was read several times before one repair, the reading that decided
    decided: dict[tuple[str, str | None, int], Frame] = {}
    state = begin(context)
    for line, entry in session.entries():
        for decision in entry.decisions:
            before = standing_now(context, state)
            state = apply(context, state, decision)
            if isinstance(decision, Observed) and decision.number not in withdrawn:
                frame = _reading(context, decision, before, dict(state.facts), turns, line.mono)
                repairs = sum(repair.at < line.mono for repair in one.repairs)
                if frame.value and frame.picture:
                    decided[decision.check, decision.place, repairs] = frame
    found += decided.values()
    for repair in one.repairs:
        ask, said = _talk(turns, repair.at)
        found.append(
            Frame(
                repair.at, first_up(at_place(repair.title, repair.place)), ask, said,
                picture=_plan(context, repair, dict(state.facts)),
            )
        )  # fmt: skip
    found.sort(key=lambda frame: frame.at)
    for last in (step for step in one.proof if step.detail not in ("", "next", "yes", "done")):
        ask, said = _talk(turns, last.at)
        found.append(Frame(last.at, "Proof", ask, said))
    found.append(
        Frame(turns[-1].at, first_up(one.complaint).rstrip("."), f"Cause: {', '.join(one.causes)}.",
              f"Correction: {', '.join(one.correction)}.", first_up(ending_words(one.ending)), "good",
              picture=_plan(context, one.repairs[-1], dict(state.facts)))
    )  # fmt: skip
    return found


def _plan(context: Context, repair: Repair, facts: dict[str, str]) -> Picture | None:
    drawn = pictures_of(context.procedure, context.fix(repair.fix), repair.place, facts=facts)
    return next((each for each in drawn if each.kind == "plan"), None)


def _reading(
    context: Context, seen: Observed, before: Standing, facts: dict[str, str], turns: tuple[Turn, ...], at: float
) -> Frame:
    ask, said = _talk(turns, at)
    check = context.check(seen.check)
    place = seen.choice if check.kind == "place" else seen.place
    drawn = pictures_of(context.procedure, check, place, facts=facts, before=before)
    wanted = "plan" if check.kind == "place" else "circuit"
    picture = next((each for each in drawn if each.kind == wanted), None)
    limit = limits_of(seen, context.vocabulary)
    measured = seen.choice is None or check.kind == "place"
    return Frame(
        at, first_up(at_place(seen.title, seen.place)), ask, said,
        first_up(read(seen, context.vocabulary)) if measured else "", mark_of(seen), graded(seen),
        f"Limits: {limit}" if limit else "", picture,
    )  # fmt: skip


def _talk(turns: tuple[Turn, ...], at: float) -> tuple[str, str]:
    """What was asked before the answer of that moment, and the answer."""
    where = next(number for number, turn in enumerate(turns) if turn.who == "you" and turn.at >= at - 1e-6)
    asked = [turn.text for turn in turns[:where] if turn.who == "us"]
    return asked[-1], turns[where].text


def draw_film(frames: list[Frame], title: str, told: str) -> str:
    """The frames as one SVG document."""
    root = ET.Element("svg", {
        "xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {WIDTH:.0f} {HEIGHT:.0f}", "width": f"{WIDTH:.0f}",
        "height": f"{HEIGHT:.0f}", "class": "film hands", "role": "img", "aria-labelledby": "film-title film-told",
    })  # fmt: skip
    ET.SubElement(root, "title", id="film-title").text = title
    ET.SubElement(root, "desc", id="film-told").text = told
    ET.SubElement(root, "style").text = STYLE + LOOK + _motion(len(frames))
    ET.SubElement(root, "rect", {"class": "ground", "width": f"{WIDTH:.0f}", "height": f"{HEIGHT:.0f}"})
    for number, frame in enumerate(frames):
        last = " last" if number == len(frames) - 1 else ""
        group = ET.SubElement(root, "g", {"class": f"frame f{number}{last}"})
        page = svg.Drawing(WIDTH, HEIGHT, title)
        _draw(page, frame, number, len(frames))
        group.extend(elements(page))
        if frame.picture is not None:
            drawing = frame.picture.drawing
            high = min(330.0, 366 * (drawing.height - drawing.top) / drawing.width)
            inner = ET.SubElement(group, "svg", {
                "x": f"{RIGHT:.0f}", "y": "48", "width": "366", "height": svg.number(high), "viewBox": drawing.box,
            })  # fmt: skip
            inner.extend(elements(drawing))
    return ET.tostring(root, encoding="unicode") + "\n"


def elements(drawing: svg.Drawing) -> list[ET.Element]:
    """The shapes of a drawing, for a picture that is put together of several."""
    made = []
    for tag, attributes, text in drawing.shapes():
        made.append(ET.Element(tag, attributes))
        made[-1].text = text or None
    return made


def _motion(count: int) -> str:
    """Each frame stands for its part of the round, the others wait; cut, for two that fade are both unreadable."""
    part = 100 / count
    delays = "\n".join(
        f".f{number} {{ animation-delay: {(number - count) * SECONDS:g}s; }}" for number in range(count)
    )
    return f"""
.frame {{ opacity: 0; animation: show {count * SECONDS:g}s step-end infinite; }} .frame.last {{ opacity: 1; }}
@keyframes show {{ 0% {{ opacity: 1; }} {part:.2f}% {{ opacity: 0; }} 100% {{ opacity: 0; }} }}
{delays}
@media (prefers-reduced-motion: reduce) {{ .frame {{ animation: none; }} }}
"""


def _draw(page: svg.Drawing, frame: Frame, number: int, count: int) -> None:
    # a line runs out with the session, as far as it has come
    page.line(LEFT, 22, WIDTH - 24, 22, "rope")
    x = LEFT + (WIDTH - 48) * (number + 0.5) / count
    page.polygon([(x - 5, 12), (x + 5, 12), (x + 10, 36), (x - 10, 36)], "weight")
    y = 66.0
    for row in textwrap.wrap(f"{clock(frame.at)}  {frame.title}", 44):
        page.text(LEFT, y, row, "head")
        y += 20
    y += 8
    for row in textwrap.wrap(frame.ask, 46):
        page.text(LEFT, y, row, "ask")
        y += 21
    y += 12
    quoted = frame.said if frame.said.endswith(".") else QUOTED.format(frame.said)
    for row in textwrap.wrap(quoted, 38):
        page.text(LEFT, y, row, "said")
        y += 24
    y = max(y + 26, 306)
    if frame.value:
        left = LEFT
        if frame.mark:
            _shape(page, left + 14, y - 10, frame.mark)
            left += 38
        page.text(left, y, frame.value, f"value {frame.mark}".strip())
        if frame.verdict:
            page.text(left, y + 28, first_up(frame.verdict), f"head {frame.mark}".strip())
        if frame.limit:
            page.text(left, y + 50, frame.limit, "limit")


def _shape(page: svg.Drawing, x: float, y: float, mark: str) -> None:
    """A shape beside the color of each verdict."""
    if mark == "good":
        page.circle(x, y, 13, f"mark {mark}")
        page.polyline([(x - 6, y), (x - 1, y + 5), (x + 7, y - 5)], "tick")
    elif mark == "bad":
        page.rect(x - 13, y - 13, 26, 26, f"mark {mark}")
        page.polyline([(x - 6, y - 6), (x + 6, y + 6)], "tick")
        page.polyline([(x - 6, y + 6), (x + 6, y - 6)], "tick")
    else:
        page.polygon([(x, y - 13), (x + 14, y + 12), (x - 14, y + 12)], f"mark {mark}")


def film(scene: str = SCENE) -> str:
    """A scene as a moving picture."""
    frames = frames_of(*played(scene))
    told = " ".join(
        f"{clock(one.at)} {one.title}: {one.value or one.said}{f', {one.verdict}' if one.verdict else ''}."
        for one in frames
    )
    return draw_film(frames, f"{load_scene(scene).scene.title} (invented)", told)
