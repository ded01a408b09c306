"""Random talks: whatever is said, nothing raises and no observation is lost."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.messages import Fact, Heard, Hypothesis, MicrophoneLost, Resumed, WentQuiet
from assistant.messages.decisions import (
    AccessOpened,
    FixDone,
    ObservationWithdrawn,
    Observed,
)
from assistant.session.fold import fold
from tests.session.conversation import Conversation

WORDS = [
    "yes", "no", "next", "ready", "skip", "skip", "because it rains", "hold on", "resume", "scratch that",
    "correction", "correction twelve hundred", "correction 0.3", "go back", "stop", "help", "why",
    "what's left", "say again", "note", "note that it rains", "drum", "disc", "not sure", "left", "right",
    "none", "out", "on", "72", "1180", "eleven eighty", "over range", "0.05", "0.5", "minus 0.3", "about 705",
    "ten five", "the first", "1", "jumping", "twelve point", "jumping between 900 and 2000",
    "between 900 and 2000", "above 2000", "nothing on the display", "stpo", "", "the cat sat on the mat",
    "eleven hundred I mean twelve hundred", "eleven hundred scratch that", "12,6", "zero four",
]  # fmt: skip
DRIVE = {"ready": "ready", "fact:brakes": "drum", "fact:shields": "no", "fact:coil temperature": "72",
         "proof:light": "out", "check:ground drop": "0.02", "check:code": "left"}  # fmt: skip
MOVES = st.one_of(
    st.just("forward"),
    st.just("forward"),
    st.sampled_from(WORDS),
    st.sampled_from(["<quiet>", "<lost>", "<fail>", "<resume>"]),
)


class TestAnyTalk:
    """The state follows from the written decisions; observations go only by being withdrawn; work stays done."""

    @settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.lists(MOVES, max_size=45))
    def test_never_raises_and_never_loses(self, moves: list[str]) -> None:
        talk = Conversation().begin()
        for move in moves:
            if talk.finished:
                break
            talk = _play(talk, move)
            self.check(talk)

    def check(self, talk: Conversation) -> None:
        made = [one for one in talk.decisions if isinstance(one, Observed)]
        gone = {one.number for one in talk.decisions if isinstance(one, ObservationWithdrawn)}
        assert [one.number for one in talk.now.observations] == [one.number for one in made if one.number not in gone]
        assert len({one.number for one in made}) == len(made)
        work = [one for one in talk.decisions if isinstance(one, FixDone | AccessOpened)]
        assert [one for one in talk.now.work if isinstance(one, FixDone | AccessOpened)] == work
        assert fold(talk.context, talk.decisions) == talk.now.settled()


def _play(talk: Conversation, move: str) -> Conversation:
    fact: Fact
    talk.clock += 1
    match move:
        case "<quiet>":
            fact = WentQuiet(talk.clock)
        case "<lost>":
            fact = MicrophoneLost(talk.clock, "The headset went away.")
        case "<fail>":
            talk.fail = 1
            return talk
        case "<resume>":
            later = Conversation(talk.context, talk.folded(), decisions=talk.decisions, clock=talk.clock)
            later.feed(Resumed(talk.clock))
            if later.expectation is None:
                later.feed(WentQuiet(talk.clock))
            return later
        case "forward":
            fact = Heard(talk.clock, (Hypothesis(forward(talk)),))
        case _:
            fact = Heard(talk.clock, (Hypothesis(move),))
    talk.feed(fact)
    return talk


def forward(talk: Conversation) -> str:
    """What takes the talk on from its prompt."""
    prompt = talk.prompt
    if prompt == "held":
        return "resume"
    if prompt.startswith(("caution:", "confirm:")):
        return "yes"
    if prompt.startswith("check:sensor ohms"):
        return "over range" if prompt.endswith("left") and not talk.now.fixes else "1180"
    if prompt.startswith("check:output"):
        return "0.5"
    return DRIVE.get(prompt, "no" if prompt == "stop" else "next")
