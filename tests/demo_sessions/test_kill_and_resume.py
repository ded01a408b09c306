"""A process killed after any record resumes: nothing logged is lost, and the session comes to the same end."""

from __future__ import annotations

from collections import defaultdict, deque
from contextlib import ExitStack
from io import StringIO
from pathlib import Path

import pytest

from assistant.clock import ScriptedClock
from assistant.commands.lead.demo import run_scene
from assistant.composition import resume_session
from assistant.display.terminal import Screen
from assistant.loop import Loop
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Resumed
from assistant.records.journal.reader import Session
from assistant.scenes import StoredScene, load_scene
from tests.records.samples import session_in

SCENE = "ground-that-passes-unloaded"


class ByPrompt:
    """Answers by the prompt's identity: what the scene says there, in order; the last one again when asked again."""

    def __init__(self, stored: StoredScene, already: Session, clock: ScriptedClock) -> None:
        self._clock = clock
        self._left: dict[str, deque[str]] = defaultdict(deque)
        for answer in stored.typed:
            if answer.typed not in {"hold on", "why"}:
                self._left[answer.prompt].append(answer.typed)
        self._left["held"] = deque(["resume"])
        spent = [entry.fact.hypotheses[0].words for _, entry in already.entries() if isinstance(entry.fact, Heard)]
        for words in spent:
            for lines in self._left.values():
                if len(lines) > 1 and lines[0] == words:
                    lines.popleft()
                    break
        self.count = 0

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """The answer for this prompt."""
        self.count += 1
        lines = self._left.get(str(expectation.prompt))
        if not lines or self.count > 200:
            return InputEnded(self._clock.now())
        words = lines.popleft() if len(lines) > 1 else lines[0]
        self._clock.advance(10)
        return Heard(self._clock.now(), (Hypothesis(words),))

    def close(self) -> None:
        """Nothing to let go of."""


def outcome(session: Session) -> tuple[object, ...]:
    """What a session came to: its end, what was fixed, and the last answer of each check."""
    decisions = [one for _, entry in session.entries() for one in entry.decisions]
    seen = {
        (one.check, one.place): (one.value, one.choice, one.display) for one in decisions if one.kind == "observed"
    }
    fixes = [(one.fix, one.place) for one in decisions if one.kind == "fix_done"]
    ends = [one.ending for one in decisions if one.kind == "ended"]
    return ends, fixes, seen


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Session]:
    """The scene played to its end without a break."""
    folder = tmp_path_factory.mktemp("whole")
    with ExitStack() as stack:
        work, _ = run_scene(stack, load_scene(SCENE), folder, Screen(out=StringIO()), None)
    return Path(work.journal.where), session_in(folder, work.header.session_id)


@pytest.mark.parametrize("every", [4, pytest.param(1, marks=pytest.mark.sweep)])
def test_killed_after_any_record_it_resumes_to_the_same_end(
    whole: tuple[Path, Session], tmp_path: Path, every: int
) -> None:
    """At every so many records: what stood before is unchanged, and the other answers give the same result."""
    path, session = whole
    lines = path.read_bytes().splitlines(keepends=True)
    assert len(lines) > 30
    stored = load_scene(SCENE)
    for kept in range(1, len(lines), every):
        if kept == len(lines) - 1 and b'"kind":"ended"' in lines[kept - 1]:
            continue
        folder = tmp_path / f"{kept:03d}"
        folder.mkdir()
        before = b"".join(lines[:kept])
        (folder / path.name).write_bytes(before)
        already = session_in(folder, path.stem)
        if any(one.kind == "ended" for _, entry in already.entries() for one in entry.decisions):
            continue
        clocks: list[ScriptedClock] = []

        def clock_from(seconds: float, clocks: list[ScriptedClock] = clocks) -> ScriptedClock:
            clocks.append(ScriptedClock(stored.scene.started))
            clocks[-1].advance(seconds)
            return clocks[-1]

        work, clock = resume_session(folder, path.stem, clock_from)
        listener = ByPrompt(stored, already, clocks[-1])
        screen = Screen(out=StringIO())
        ending = Loop(work.context, work.state, work.journal, listener, screen, clock).run(Resumed(at=clock.now()))
        work.journal.close()
        after = (folder / path.name).read_bytes()
        assert after.startswith(before), f"killed after record {kept}: what was logged has changed"
        assert ending == stored.scene.ending, f"killed after record {kept}"
        assert outcome(session_in(folder, path.stem)) == outcome(session), f"killed after record {kept}"
