"""Make the table of mishearings that simulated sessions draw from, of what the benchmark of hearing kept.

    LEADSMAN_BENCH_HEARD=heard.jsonl python -m tests.tools.mishearings

Every deciding recording under every condition, heard with our weights; what the file lacks is heard. A row is one
whose likeliest meaning was not what was said; whether a yes would have been asked makes no difference here, since
that is for the session to decide.
"""

from __future__ import annotations

import csv
import os
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from assistant.asr.recognizer import Recognizer
from assistant.catalog import load_vocabulary
from assistant.numerals.vocabulary import Vocabulary
from assistant.setup.model import model_folder
from assistant.simulator.mishearing import TABLE
from assistant.understanding.interpret import candidates_of
from assistant.understanding.recognition.rescoring import judge, policy_of
from tests.bench.hearing.cases import Case, is_right, load_readings
from tests.bench.hearing.mixing import NOISES
from tests.bench.hearing.nbest import Heard
from tests.bench.hearing.opinions import OURS, cache_of

COLUMNS = ("level", "kind", "said", "heard", "lead", "snr_db")
KINDS = {"reading": "reading", "choice": "choice", "command": "command"}


def level_of(condition: str) -> str:
    """'quiet' or the decibels."""
    return condition.rpartition("@")[2]


def mistake(case: Case, heard: Heard, vocabulary: Vocabulary) -> tuple[str, float] | None:
    """What was heard instead of what was said, and by how much that led; None when nothing else was."""
    policy = policy_of(vocabulary)
    read = candidates_of(
        heard.weighed(OURS, policy.second_at(case.expectation.expects, heard.snr_db)), case.expectation, vocabulary
    )
    judged = judge(read, case.expectation, policy) if read else None
    if judged is None or is_right(case, judged.meant):
        return None
    right = [one.score for one in read if is_right(case, one.meant)]
    chosen = max(one.score for one in read if one.words == judged.meant.heard)
    lead = chosen - max(right) if right else chosen - min(one.score for one in read)
    return judged.meant.heard, round(lead, 2)


def rows(cases: Sequence[Case], conditions: Sequence[str], heard: dict[tuple[str, str], Heard],
         vocabulary: Vocabulary) -> Iterator[dict[str, str]]:  # fmt: skip
    """The table: how many answers of each kind were heard at each level, then each that was misheard."""
    counts = Counter((level_of(condition), KINDS[case.kind]) for condition in conditions for case in cases)
    for (level, kind), count in sorted(counts.items()):
        yield {"level": level, "kind": kind, "said": "", "heard": str(count), "lead": "", "snr_db": ""}
    for condition in conditions:
        for case in cases:
            one = heard[condition, case.name]
            found = mistake(case, one, vocabulary)
            if found is not None:
                yield {
                    "level": level_of(condition), "kind": KINDS[case.kind], "said": case.said, "heard": found[0],
                    "lead": f"{found[1]:.2f}", "snr_db": f"{one.snr_db or 60.0:.1f}",
                }  # fmt: skip


def main() -> None:
    """Hear what is missing and write the table."""
    named = os.environ.get("LEADSMAN_SPEECH")
    corpus = Path(named) if named else Path(__file__).parents[3] / "shared" / "speech"
    vocabulary = load_vocabulary()
    cases = [case for case in load_readings(corpus) if case.decides and case.kind in KINDS]
    conditions = ["quiet", *(f"{noise}@{ratio}" for ratio in (10, 5, 0) for noise in NOISES)]
    with Recognizer(model_folder(), vocabulary, scorer=lambda: None) as recognizer:
        cache = cache_of(corpus, recognizer)
        heard = {(condition, case.name): cache.heard(case, condition) for condition in conditions for case in cases}
    with TABLE.open("w", encoding="utf-8", newline="") as opened:
        writer = csv.DictWriter(opened, COLUMNS, delimiter="\t", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows(cases, conditions, heard, vocabulary))


if __name__ == "__main__":
    main()
