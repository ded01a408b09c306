"""Why something was decided, as a value: the session compares it, ``phrasing.reasons`` puts it into words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

ReasonSlot = str | int | tuple[str, ...]


class Why(StrEnum):
    """The reasons there are. Slots stand in braces; the sentence of each is a phrase of its own."""

    WRITTEN = "written"
    """{text}: words that an earlier version of the program wrote, and that steer nothing."""
    # A check is asked
    SPLITS = "splits"
    """{first}, {second}, {minutes}, {access}, {place}: it tells these suspects apart in so many minutes, with this to
    be opened first ('' for nothing)."""
    NARROWS = "narrows"
    """{minutes}, {access}, {place}: it narrows down what is left."""
    COMES_FIRST = "comes_first"
    """{check}: it must come before that check, which is the one that is wanted."""
    COMES_BEFORE_SPLIT = "comes_before_split"
    """{check}, {first}, {second}: the same, with what that check tells apart."""
    MUCH_HANGS_ON_IT = "much_hangs_on_it"
    """It was answered, and is taken once more because that tells more a minute than any other check."""
    BEFORE_CONDEMNING = "before_condemning"
    """It is taken once more before a part is condemned by it."""
    LAST_LOOK = "last_look"
    """No other check is left, and it is taken once more."""
    SEEN_FIRST = "seen_first"
    """Nothing wrong was seen yet, and a repair would be next: the complaint itself is looked at."""
    IN_ORDER = "in_order"
    """A survey's next position."""
    SKIPPED_BEFORE = "skipped_before"
    """A survey comes back, once, to what was skipped."""
    ASKED_FOR = "asked_for"
    """The person named the place."""
    ASKED_FOR_AGAIN = "asked_for_again"
    """The person named a place that was read: the new reading replaces the old one."""
    TOO_CLOSE = "too_close"
    """The first reading was too close to call: the second replaces it."""
    TAKEN_BACK = "taken_back"
    """The last answer was taken back."""
    AFTER_WORK = "after_work"
    """{work}: what was bad before this work is measured again."""
    WORTH_OFFERING = "worth_offering"
    """{minutes}: it was passed by, and would save so many minutes now."""
    LEFT_ALONE = "left_alone"
    """It was passed by, and nothing else is left that helps."""
    # A fact is asked for
    SAVES = "saves"
    """{minutes}: the answer is expected to save so many minutes."""
    MUST_KNOW = "must_know"
    """Nothing else is left, or a repair would be for nothing: what was not asked is asked now."""
    # A fix is chosen
    CONDEMNED = "condemned"
    """{check}, {suspect}: this check points to the suspect."""
    POINTED_AT = "pointed_at"
    """{suspect}: the readings together point to the suspect."""
    TOLD = "told"
    """{words}: the person found the cause, in these words."""
    QUICK_TRY = "quick_try"
    """{minutes}, {suspect}: it takes so long to try."""
    LITTLE_ELSE = "little_else"
    """{suspect}, {percent}: little else is left."""
    # Nothing is left to do
    NOTHING_APPLIES = "nothing_applies"
    """Nothing in the procedure can be wrong on this unit."""
    PASSED_BY = "passed_by"
    """{suspects}: what would settle it was skipped or declined."""
    NO_CHECK_LEFT = "no_check_left"
    """{suspects}: no check is left that tells them apart or condemns the part."""
    NOT_SEEN = "not_seen"
    """The complaint was not seen and every reading is good; ``items``: titles of the checks that were not made, none
    where all were, or where an earlier version wrote it."""
    WAITS = "waits"
    """{work}, {suspect}, {reason}: found, and the repair waits; the reason is in the person's words."""
    HANDED_OVER = "handed_over"
    """{minutes}, {suspects}: the person handed the hunt over after so many minutes."""
    # Something is offered
    LONG_HUNT = "long_hunt"
    """{minutes}: so many working minutes, more than nine in ten hunts of this procedure take."""
    FOUND_BEFORE = "found_before"
    """{day}, {suspect}, {reason}, {readings}: an earlier session found it, and its repair waited for this; what was
    read then."""
    # A reading is withdrawn
    SCRATCHED = "scratched"
    """The person took it back."""
    WENT_BACK = "went_back"
    """The person went back to its prompt and answered again."""
    CORRECTED = "corrected"
    """The person corrected it."""
    READ_ONCE_MORE = "read_once_more"
    """The second reading replaces one that was too close to call."""
    READ_AGAIN = "read_again"
    """The person read the place again."""
    # A proof or a session comes to its end
    ALL_PASSED = "all_passed"
    """Every step of the proof passed."""
    PASSED_MAY_MISS = "passed_may_miss"
    """{percent}: every step passed, and so likely the proof missed a fault that is still there."""
    STEP_FAILED = "step_failed"
    """{step}, {answer}: the first step of the proof that failed."""
    STEP_SKIPPED = "step_skipped"
    """{step}, {reason}: a step of the proof was skipped; the reason is the person's, '' when none was given."""
    DOES_NOT_FIT = "does_not_fit"
    """{text}: the procedure's own words on why it does not fit the unit."""
    STOPPED = "stopped"
    """The person ended the session."""
    ALL_READ = "all_read"
    """A survey read every position."""
    NOT_READ = "not_read"
    """{items}: positions that a survey did not read."""
    UNFINISHED = "unfinished"
    """Something was still to be done."""
    # The record is to show something that changed no state
    ASKED_WHY = "asked_why"
    """{prompt}: the person asked why, at this prompt."""
    ASKED_WHERE = "asked_where"
    """The person asked where the session stands."""
    ASKED_WHATS_LEFT = "asked_whats_left"
    """The person asked what is still suspected."""
    CONFIRMED = "confirmed"
    """{doubt}: the person said yes to an answer that was asked about."""
    TOO_QUICK = "too_quick"
    """{step}, {seconds}: a step of the proof was answered sooner than it can be done, and got its yes."""
    PROOF_LEAVES = "proof_leaves"
    """{text}: what an answer of the proof leaves undone."""
    REFUSED = "refused"
    """{doubt}: the person said no to an answer that was asked about."""
    FIRST_HEARD = "first_heard"
    """{words}: what was heard first, before the answer got its yes."""
    NOT_UNDERSTOOD = "not_understood"
    """{words}: what was heard and answers nothing."""
    ASKED = "asked"
    """{about}, {words}: the person asked something about the session."""
    STANDS_OUT = "stands_out"
    """{check}, {value}, {unit}, {middle}: a survey's reading is unlike the others."""
    SAYS_NOTHING = "says_nothing"
    """{check}, {shown}: a first try, asked once more."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something was decided."""

    why: Why
    slots: Mapping[str, ReasonSlot] = field(default_factory=dict)
    """What the sentence names: the procedure's own words, the person's, and figures as they are shown."""
