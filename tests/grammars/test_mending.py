"""``grammars/mending.toml``: each form tells that an earlier answer was wrong, and nothing changes without a yes."""

from __future__ import annotations

from assistant.catalog import load_vocabulary
from assistant.messages.decisions import Observed
from assistant.session.dialog_state import Mode
from assistant.session.handlers.answering import MEND, MOVED
from assistant.session.unprompted.elsewhere import moved_to
from tests.rows import each_row
from tests.session.conversation import Conversation, keys
from tests.session.said_tables import COUNTED, plug_asked, scene

LISTS = load_vocabulary().mending


def heard(words: str) -> Conversation:
    """What comes of words at the last prompt of a battery session: rest volts 12.1 are logged."""
    start = scene("battery")
    talk = Conversation(start.context, start.now)
    talk.hear(words)
    assert not talk.decisions or all(type(one).__name__ == "Remarked" for one in talk.decisions)
    return talk


def asked(talk: Conversation) -> str:
    """The value that is asked about as a correction of the rest volts, '' for none."""
    overlay, dialog = talk.now.dialog.overlay, talk.now.dialog
    if overlay is None or overlay.asked_for != MEND or dialog.revisit is None or dialog.revisit.name != "rest volts":
        return ""
    assert overlay.candidate is not None
    return f"{overlay.candidate.value}"


def test_every_part_is_known() -> None:
    assert set(LISTS) == {
        "wrong",
        "change",
        "ought",
        "old",
        "around",
        "names",
        "small",
        "moved",
        "moved_around",
        "beside",
    }


@each_row((*LISTS["wrong"], *LISTS["change"]))
def test_what_tells_it_was_wrong(form: str) -> None:
    behind = form.startswith(("is ", "was ", "that's ", "that was ", "isn't", "wasn't"))
    words = f"rest volts {form} it's twelve four" if behind else f"{form} rest volts twelve four"
    assert asked(heard(words)) == "12.4"


@each_row(LISTS["ought"])
def test_what_it_should_be(form: str) -> None:
    assert asked(heard(f"rest volts {form} twelve four")) == "12.4"


@each_row(LISTS["ought"])
def test_what_it_should_be_of_what_is_asked_now_is_no_correction(form: str) -> None:
    start = scene("battery")
    talk = Conversation(start.context, start.now)
    talk.hear(f"cranking volts {form} twelve four")
    assert asked(talk) == ""


@each_row(LISTS["old"])
def test_the_old_value_beside_it(form: str) -> None:
    assert asked(heard(f"rest volts {form} twelve one it was twelve four")) == "12.4"


@each_row(LISTS["around"])
def test_words_between(form: str) -> None:
    assert asked(heard(f"correction {form} rest volts twelve four")) == "12.4"


@each_row(LISTS["names"])
def test_other_names_have_a_head(row: str) -> None:
    head, _, others = row.partition(":")
    assert head.strip()
    assert others.split()


@each_row(LISTS["small"])
def test_small_words_name_nothing(form: str) -> None:
    assert asked(heard(f"rest volts should be {form}")) == ""


def test_work_is_no_correction() -> None:
    """'Change the battery' is work on the unit: without a new value nothing logged is meant."""
    for words in LISTS["change"]:
        start = scene("battery")
        talk = Conversation(start.context, start.now)
        talk.hear(f"{words} the battery")
        assert talk.mode in (Mode.CHECK, Mode.HELD)
        assert not [one for one in talk.decisions if type(one).__name__ in COUNTED]


def test_nothing_of_the_kind_is_logged() -> None:
    start = scene("battery")
    talk = Conversation(start.context, start.now)
    assert "mend_none" in keys(talk.hear("correction, alternator volts fourteen two"))
    assert not [one for one in talk.decisions if type(one).__name__ != "Remarked"]


def at_left_front(*said: str) -> Conversation:
    start = plug_asked("left front")
    for words in said:
        start.hear(words)
    return start


@each_row(LISTS["moved"])
def test_what_moves_the_last_answer(form: str) -> None:
    talk = at_left_front("clean", f"no {form} the right front")
    assert getattr(talk.now.dialog.overlay, "asked_for", "") == MOVED


@each_row(LISTS["moved_around"])
def test_words_around_a_move(form: str) -> None:
    talk = at_left_front("clean")
    moved = moved_to(talk.context, talk.now, f"that was the right front {form}")
    assert moved is not None
    assert moved[1] == "right front"


@each_row(LISTS["beside"])
def test_two_places_side_by_side_log_nothing_at_the_other(form: str) -> None:
    talk = at_left_front(f"corroded {form} the right front")
    assert not [one for one in talk.decisions if isinstance(one, Observed) and one.place == "right front"]
