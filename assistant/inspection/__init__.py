"""What is wrong with a procedure as a whole: names, logic, limits, sentences and cautions, all of it at once."""

from assistant.inspection.everything import everything_wrong, inspected, not_verified, words_of_file
from assistant.inspection.findings import find_faults

__all__ = ["everything_wrong", "find_faults", "inspected", "not_verified", "words_of_file"]
