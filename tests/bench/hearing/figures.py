"""What came of answers under one opinion: counts that benchmarks print and the picture shows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, fields

from assistant.messages import Understanding
from tests.bench.hearing.cases import Score


@dataclass(frozen=True, slots=True)
class Figures:
    """How answers came out."""

    count: int = 0
    right: int = 0
    wrong: int = 0
    """Wrong and accepted."""
    caught: int = 0
    """Wrong, but a yes is asked for first."""
    asked: int = 0
    """Right answers for which a yes is asked."""

    def __add__(self, other: Figures) -> Figures:
        return Figures(*(getattr(self, one.name) + getattr(other, one.name) for one in fields(Figures)))

    @classmethod
    def of(cls, results: Iterable[tuple[Understanding, Score]]) -> Figures:
        """Counts of what was understood."""
        listed = list(results)
        given = [score for _, score in listed]
        right = [meant for meant, score in listed if score == "right"]
        yes = sum(meant.confirm for meant in right)
        return cls(len(listed), len(right), given.count("wrong"), given.count("caught"), yes)

    @property
    def right_percent(self) -> float:
        """Right at first hearing."""
        return 100 * self.right / max(1, self.count)

    @property
    def wrong_percent(self) -> float:
        """Wrong and accepted."""
        return 100 * self.wrong / max(1, self.count)

    @property
    def asked_percent(self) -> float:
        """Of the right answers, those for which a yes is asked."""
        return 100 * self.asked / max(1, self.right)

    def line(self) -> str:
        """All of it in one line."""
        return (
            f"n {self.count:4d}  right {self.right:4d} ({self.right_percent:5.1f} %)  "
            f"wrong and accepted {self.wrong:3d} ({self.wrong_percent:4.2f} %)  caught {self.caught:3d}  "
            f"of the right ones a yes for {self.asked:3d} ({self.asked_percent:4.1f} %)"
        )

    def plain(self) -> dict[str, int]:
        """As JSON has it."""
        return asdict(self)
