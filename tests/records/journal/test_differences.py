"""Where a record and today's program part is told as the first thing that differs, and nothing else."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.messages import Basis, Grade, Reason, Verdict, Why
from assistant.messages.decisions import Decision, FactAnswered, NoteTaken, ObservationWithdrawn, Observed
from assistant.records.journal.differences import describe
from assistant.records.journal.disk import explain, is_locked
from assistant.records.store.folder import FolderStore
from assistant.records.store.strangers import others_may_write, told

GOOD = Verdict(
    Grade.GOOD, Decimal(10), 0.99, Decimal(910), Decimal(1390), Decimal(1180), basis=Basis("ohm", Decimal(1180))
)
BAD = replace(GOOD, grade=Grade.BAD_HIGH, probability_good=0.01)
SEEN = Observed(
    1, "ohms", "left rear", "ohms of the sensor", {"good": 1.0}, "eleven eighty", Decimal(1180), "ohm", verdict=GOOD
)
FACT = FactAnswered("brakes", "drum", "drum")


@pytest.mark.parametrize(
    ("recorded", "today", "told"),
    [
        # the check and the place say which it is; then what differs
        (replace(SEEN, value=Decimal("1180.5")), SEEN, ("value 1180.5", "value 1180")),
        (SEEN, replace(SEEN, verdict=BAD), ("verdict good", "verdict bad_high")),
        (
            SEEN,
            replace(SEEN, weights={"good": 0.25, "high": 0.75}),
            ("weights good 1", "weights good 0.25, high 0.75"),
        ),
        (replace(SEEN, conditions={}), replace(SEEN, conditions={"power": "on"}), ("nothing", "conditions power on")),
        (FACT, replace(FACT, value="disc"), ("fact answered: brakes (value drum)", "(value disc)")),
        (FACT, SEEN, ("fact answered: brakes", "observed: ohms, left rear")),
        (FACT, None, ("fact answered: brakes", "nothing more")),
        (None, FACT, ("nothing more", "fact answered: brakes")),
    ],
)
def test_the_first_difference_is_told_of_both_sides(
    recorded: Decision | None, today: Decision | None, told: tuple[str, str]
) -> None:
    """Behind what is the same; of an observation its check and place are named, too."""
    before = (NoteTaken("rain"),)
    found = describe(
        (*before, *([recorded] if recorded else [])),
        (*before, *([today] if today else [])),
    )
    assert found is not None
    assert told[0] in found[0]
    assert told[1] in found[1]
    if isinstance(recorded, Observed) and isinstance(today, Observed):
        assert all(side.startswith("observed: ohms, left rear (") for side in found)


@pytest.mark.parametrize(
    ("recorded", "today", "same"),
    [
        (SEEN, replace(SEEN, weights={"good": 1.0 + 1e-12}), True),
        (SEEN, replace(SEEN, weights={"good": 1.0 - 1e-6}), False),
        (SEEN, replace(SEEN, value=Decimal("1180.00")), True),
        (SEEN, replace(SEEN, verdict=replace(GOOD, probability_good=0.99 + 1e-12)), True),
        (SEEN, replace(SEEN, verdict=None), False),
        # words of a record of before, whose reason is not kept in parts: they steer nothing
        (SEEN, replace(SEEN, verdict=replace(GOOD, reason="1,180 ohms is good.", basis=None)), True),
        (SEEN, replace(SEEN, verdict=replace(BAD, reason="1,180 ohms is good.", basis=None)), False),
    ],
)
def test_numbers_are_compared_as_numbers_and_old_words_not_at_all(
    recorded: Decision, today: Decision, *, same: bool
) -> None:
    assert (describe([recorded], [today]) is None) == same
    assert (describe([today], [recorded]) is None) == same


def test_a_reason_is_told_in_words() -> None:
    first = ObservationWithdrawn(1, Reason(Why.UNFINISHED))
    found = describe([first], [replace(first, because=Reason(Why.NOT_UNDERSTOOD, {"words": "a radio"}))])
    assert found is not None
    assert all("because " in side and "Reason(" not in side for side in found)
    assert found[0] != found[1]
    assert describe([first], [replace(first, because=Reason(Why.WRITTEN, {"text": "It rained."}))]) is None, (
        "an earlier version's words"
    )


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (errno.ENOSPC, "Entry 7 is not on disk: the disk is full. Free some space. Then try again."),
        (errno.EACCES, "cannot be written to. Make the folder writable, or name another with --records."),
        (errno.ENOENT, "the folder /shop is gone. Bring it back (plug the drive in, mount the share)."),
        (errno.EEXIST, "another file has taken the place of /shop/a.jsonl. Move that file away."),
        (errno.ELOOP, "/shop/a.jsonl is a link to another place, and links are not followed. Take the link away."),
        (errno.EIO, f"{os.strerror(errno.EIO)} (/shop/a.jsonl). Then try again."),
    ],
)
def test_what_the_disk_refuses_is_a_sentence_with_its_remedy(number: int, told: str) -> None:
    error = explain(OSError(number, os.strerror(number)), Path("/shop/a.jsonl"), "Entry 7")
    assert str(error).startswith("Entry 7 is not on disk: ")
    assert told in str(error)


def test_a_lock_means_something_only_while_a_process_holds_it(tmp_path: Path) -> None:
    fcntl = pytest.importorskip("fcntl", reason="locks of this kind are a POSIX system's")
    path = tmp_path / "a.lock"
    assert not is_locked(path), "there is none"
    with path.open("wb") as file:
        assert not is_locked(path), "a crash left it behind"
        fcntl.flock(file, fcntl.LOCK_EX)
        assert is_locked(path)
    assert not is_locked(path)


def test_strangers_are_named_up_to_a_number_and_a_folder_for_all_is_told(tmp_path: Path) -> None:
    """Each is passed by for what it is; the sentence does not grow with their number."""
    assert told(tmp_path, {}) == ""
    for name in ("a copy.jsonl", "b.jsonl.bak", "c.jsonl~", "d (1).jsonl", "._e.jsonl", "f.JSONL", "g.jsonl.tmp"):
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "20260131-142305-k3f.jsonl").mkdir()
    (tmp_path / "notes.txt").write_bytes(b"")
    store = FolderStore(tmp_path)
    assert store.ids() == []
    sentence = told(tmp_path, store.strangers)
    assert sentence.startswith(f"Passed by in {tmp_path}: ._e.jsonl (not named like a session's file), ")
    assert "20260131-142305-k3f.jsonl (a folder)" in sentence
    assert " and 3 more. Move what is no record of this program elsewhere." in sentence
    assert "notes.txt" not in sentence
    if os.name != "nt":
        tmp_path.chmod(0o770)
        assert others_may_write(tmp_path).endswith(f"To end that: chmod go-w {tmp_path}")
        tmp_path.chmod(0o755)
    assert others_may_write(tmp_path) == ""
    assert others_may_write(tmp_path / "none") == ""
