"""Reading, limits, meter and temperature to a verdict."""

from assistant.verdict.judge import judge, judge_display, looks_swapped, to_reference
from assistant.verdict.uncertainty import Accuracy, Meter, Range, meters_from, parse_accuracy

__all__ = [
    "Accuracy",
    "Meter",
    "Range",
    "judge",
    "judge_display",
    "looks_swapped",
    "meters_from",
    "parse_accuracy",
    "to_reference",
]
