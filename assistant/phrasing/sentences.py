"""Every phrase the tool says, by key, and every reason, by its name. Short sentences, so that they can be stopped.

A slot is written ``{name}`` for text, ``{name:unit}`` for a number with the unit of the slot ``unit``,
``{name:bare}`` for a number alone, ``{limits:unit}`` and ``{limits:bare}`` for the limits ``low`` and ``high``,
``{name:whole}`` for a small count, ``{name:id}`` for a unit number, ``{name:or}`` and ``{name:comma}`` for several
names or values, ``{name:plural}`` for the name of a unit. No phrase begins with a number: the first word
after silence is easily lost, and it might be the sign. These are the usual length, '' where nothing is said;
``phrasing.lengths`` has what is said to somebody new, and in short.
"""

from __future__ import annotations

from assistant.messages import RemarkKind
from assistant.messages.reasons import Why
from assistant.phrasing.replies import REPLIES

CAUTION = "Caution."
"""Begins each caution that is said; a screen that marks cautions otherwise leaves it out."""

PHRASES: dict[str, str] = {
    # Beginning and end
    "greeting_survey": "{text}.",
    "greeting": "{text}.",
    "summary": "",
    "in_hand": "You'll need: {items}.",
    "ready": "Ready?",
    "history": "{text}",
    "as_told": "You said: {items:comma}. Did I get that right?",
    "as_last_time": "Last time: {items:comma}, {when}. Same?",
    "facts": "",
    "finding": "",
    "surveying": "Every position in order. Name one to go there next.",
    "survey_counts": "We have read {count:whole}, and {good:whole} of them are good.",
    "survey_bad": "Out of limits or faulty: {items}.",
    "survey_close": "Too close to call: {items}.",
    "survey_withheld": "No verdict, not read as it must be: {items}.",
    "survey_left": "Not read: {items}.",
    "survey_next": "Still to read: {count:whole}. Next: {items}.",
    "survey_left_first": "Not read: {count:whole}. Among them: {items}. The record names them all.",
    "and_then": "Then: {items}.",
    "rest": "Say go on for the rest.",
    "stands_out": "{text} stands out: {value:unit}. The others lie around {middle:unit}.",
    "already_there": "That is this one.",
    "proving": "",
    "not_found": "I have nothing left that would help.",
    "not_present": "It does not show today, and what we read is good. No part is called for.",
    "waiting": "{text}. It stays open in the record.",
    "handing_over": "Then we hand it over, with all that was read.",
    "checked": "Checked, good: {items}.",
    "not_checked": "Not checked: {items}.",
    "watch_for": "If it comes back, note when and where, and measure before anything is moved or cleaned.",
    "watch_for_codes": "If it comes back, note when and where, leave the key on, and read the codes first.",
    "proven": "Repair verified.",
    "proof_leaves": "But {text}.",
    "proven_may_miss": "It passed. {percent:whole} percent that it missed something. Watch it on the road.",
    "not_cured": "Not fixed yet: {text}. We look again.",
    "ended": "Done: {ending}.",
    "complaint": "",
    "cause": "Cause: {items}.",
    "correction": "Correction: {items}.",
    "not_shown": "This test doesn't rule out {text}.",
    "not_proven": "Not verified: {text}.",
    "put_back_reminder": "Back together before it rolls: {items}.",
    "goodbye": "",
    "welcome_back": "Welcome back to: {text}.",
    "already_ended": "This session is done: {ending}.",
    "at_cautions": "We were at the cautions.",
    "at_facts": "We were at the questions.",
    "at_finding": "We were looking for the fault.",
    "at_surveying": "We were reading position by position.",
    "at_repairing": "We were at the repair.",
    "at_proving": "We were verifying the repair.",
    "at_closing": "We were closing up.",
    "at_ended": "It was over.",
    "last_was": "Last reading: {text}.",
    "if_changed": "If anything changed since, say scratch that, and we read it again.",
    # Asking
    "caution": f"{CAUTION} {{text}} Say yes.",
    "caution_told": f"{CAUTION} {{text}}",
    "ask": "{text}",
    "do": "{text} Next when done.",
    "fix": "{text} Next when done, or no.",
    "fix_way": "{text} Say {ways} when done, or no.",
    "quiet": "{text} I stay quiet. Next when you are back.",
    "because": "{text}",
    "leads": "{dial}{hole}{red}{black}",
    "conditions": "{text}",
    "cautions_yes": "Yes to all {count:whole}?",
    "cautions_both": "Yes to both?",
    "same_cautions": "Same cautions: {text}. Say yes.",
    "same_cautions_at": "{place}, same cautions: {text}. Say yes.",
    "put_back_first": "Back together: {items}.",
    "put_back_more": "Then: {items}.",
    "put_back_last": "Last: {items}.",
    "put_back_part": "Part {number:whole} of {count:whole} done? Or no for one by one.",
    "put_back_done": "Part {number:whole} of {count:whole} done?",
    "put_back": "All done? Or no for one by one.",
    "offer_hand_over": "{text} Hand it over? Yes or no.",
    "offer_found_before": "{text} Repair it now? Yes or no.",
    "close": "Say next to close.",
    "put_back_item": "Back together: {text}. Done?",
    "reason": "Skipping it. Why?",
    "note": "Go ahead with the note.",
    "note_back": "Note: {text}. Keep it?",
    "note_again": "Dropped. Say the note again, or no to go on without it.",
    "stop": "Stopped. End the session? Yes or no.",
    "held": "On hold. Say resume to go on.",
    "left_open": "Unit {unit:id} has a session that was left {text}.",
    "left_without_number": "A session on a unit without a number was left {text}.",
    "resume_it": "Resume it?",
    "say_yes_or_no": "Say yes or no.",
    "reminder": "I am still here.",
    # Readings
    "read_back": "I have {value:unit}.",
    "over_range": "Over range.",
    "unsteady": "Unsteady.",
    "unsteady_between": "Moving between {low:bare} and {high:unit}.",
    "corrected": "I have {value:unit}, {corrected:bare} corrected.",
    "over_range_limits": "{word}, over range; {limits:unit}.",
    "over_range_verdict": "{word}, over range.",
    "verdict_limits": "{word}, {limits:unit}.",
    "verdict": "{word}.",
    "verdict_none": "No limit here.",
    "reading_limits": "{word}, {value:unit}; {limits:bare}.",
    "reading": "{word}, {value:unit}.",
    "reading_none": "I have {value:unit}.",
    "remark": "{text}",
    "limits_moved": "",
    "choice": "You said {text}.",
    "choice_logged": "{text}.",
    "fact_value": "I have {value:unit}.",
    "identifier": "Unit {text:id}.",
    "self_made": "That code may be self-made, by this: {text}. It counts for less.",
    "too_close": "Too close to call. Use a better range.",
    "hold_still": "Hold the probes still on clean metal.",
    "other_range": "That says nothing yet. Check the dial, and go to a higher range.",
    "facts_opened": "I had {text} down as without a sensor, and take that back.",
    "zero": "{text} Say yes if it stands, or read again.",
    "negative": "I have {value:unit}. Are the leads swapped? Say yes if it is right, or read again.",
    "swap_leads": "A reading below zero says nothing here. Swap the leads.",
    "exact": "About {value:unit} is close to the limit. What does it show exactly?",
    "blank": "Nothing on the display. Check the dial, the leads and the meter. Then read again.",
    "blank_again": "Still nothing. Try the meter on a good battery, or say skip.",
    "moving": "That is a range. Does it move between {low:bare} and {high:unit}? Yes, or the one number.",
    "lowest_highest": "Lowest, then highest, please.",
    "highest": "And the highest?",
    # Questions about an answer
    "is_it_value": "I have {value:unit}. Is that right?",
    "counted": "By our readings {count:whole} of {all:whole} is over or bad. You said {text}. Is that right?",
    "all_but": "Then only that one.",
    "half": "{text}?",
    "code_same": "{text}: the code from before. Is it active now?",
    "code_other": "{text}: not the code from before. Is it active now?",
    "code_there": "{text}. Is it active now?",
    "code_same_active": "{text}, active: the code from before. Then it's not fixed yet. Is that right?",
    "code_other_active": "{text}, active: not the code from before. Something else is wrong. Is that right?",
    "code_there_active": "{text}, active. Then it's not fixed yet. Is that right?",
    "code_same_stored": "{text}, stored only: the code from before.",
    "code_other_stored": "{text}, stored only: not the code from before. Watch for it after the drive.",
    "code_there_stored": "{text}, stored only.",
    "is_it": "You said {text}. Is that right?",
    "is_it_identifier": "Unit {text:id}. Is that right?",
    "is_it_over_range": "Over range, O L. Is that right?",
    "is_it_right": "Is that right?",
    "too_quick": "That was quick. {text} Yes or no.",
    "would_be": "{value}: {word}. Is it your reading?",
    "which_value": "Did you mean {values:or}?",
    "which_name": "Did you mean {items:or}?",
    "which_one": "Which one do you mean?",
    "guessed": "{text}",
    "did_you_mean_that": "Did you mean that?",
    "was_it_yes_or_no": "Was that a yes or a no?",
    "alone_one": "A one on its own at the left, or one point something?",
    "shown_exactly": "What does it show exactly?",
    "just_reading": "Just the reading, please, in {unit:plural}.",
    "wrong_unit": "You said {said:plural}. This reading is in {unit:plural}. Say it again.",
    "one_at_a_time": "I heard several numbers. One at a time, please.",
    "impossible_range": "Above {low:bare} and below {high:bare} cannot both be. What does it show?",
    "one_of": "Please say one of: {items:comma}.",
    "one_of_more": "Please say one of: {items:comma}. Say go on for the rest.",
    "expected_only": "That's what it should be. What is it?",
    "earlier_only": "That was before. What is it now?",
    "other_place": "That sounds like another place. What do you have at this one?",
    "denied": "Not that, then. What do you have?",
    "not_that": "Not {text}. So: {items:or}?",
    "question_first": "I took that as a question. What do you have here? Or say help.",
    "moving_still": "It's still moving. What does it settle at?",
    "digit_by_digit": "Say the unit number digit by digit, please.",
    "which_two": "Did you mean {first:unit}, or {second:unit}?",
    "condemns_value": "I have {value:unit}. That means a bad part; did I get that right?",
    "condemns_over_range": "Over range. That means a bad part; did I get that right?",
    "condemns_unsteady": "Unsteady. That means a bad part; did I get that right?",
    "condemns_choice": "You said {text}. That means a bad part; did I get that right?",
    "fails": "You said {text}. Then it's not fixed yet. Is that right?",
    "declines": "You said {text}. Then this procedure does not fit. Is that right?",
    "yes_or_no": "Yes or no, please.",
    "dropped": "Dropped.",
    "incomplete": "I have the first part. Say the whole reading, please.",
    "again": "Say that again, please.",
    "missed": "I missed that twice. Come closer, or say it shorter. Typing works too.",
    "missed_number": "I missed that twice. Try 'reading', then the number. Typing works too.",
    "noisy": "It is too loud here for me. Come closer to the microphone, or type the answer.",
    "not_asked": "That doesn't answer this one.",
    "found": "Found: {text}.",
    "to_verify": "To be verified: {items}.",
    # Work and record
    "acknowledged": "",
    "caution_first": "This one cannot be skipped. Work waits until it's done.",
    "take_time": "Take your time.",
    "step_logged": "",
    "fix_logged": "",
    "way_logged": "{text}.",
    "once_more_first": "Once more.",
    "once_more": "Once more: {what}. {ask}",
    "ask_same": "{place}, the same: {ask}",
    "measure_again": "Check it again.",
    "put_back_needed": "Nothing rolls before that. Say no to take it one by one.",
    "put_back_logged": "",
    "not_as_needed": "Not so: {item}. It needs {needs} before it rolls.",
    "so_or_not": "Is it so? Yes, or no.",
    "one_by_one": "One by one, then.",
    "noted": "Noted.",
    "photo_kept": "Photo kept.",
    "photo_erased": "Photo erased.",
    "skipped": "Skipped.",
    "needed": "This one is needed.",
    "left_as_it_was": "Left as it was.",
    "going_on": "Going on.",
    "released": "Going on.",
    "not_held": "Nothing is on hold.",
    "withdrawn": "Deleted: {text}.",
    "nothing_to_take_back": "There is nothing to delete.",
    "nothing_before": "There is no question before this one.",
    "back": "Back to the question before. Its answer stands until you give a new one.",
    "correction_of": "Correcting {text}. What is it?",
    "not_taken_at": "Nothing taken at {text}: it was read before, or is not read here. Say correction to change it.",
    "all_done": "Is all of it done? Yes or no.",
    "is_it_here": "{title}: {value:unit}. Is that right?",
    "mend_value": "{title}: {before}. Change it to {value:unit}? Yes or no.",
    "mend_choice": "{title}: {before}. Change it to {text}? Yes or no.",
    "mend_identifier": "{title}: {before:id}. Change it to {text:id}? Yes or no.",
    "faster_now": "Did it go faster than {limit:unit} this time? Yes or no.",
    "slow_counts": "It counts at {value:unit}. A wide gap shows better at {limit:unit} or more, where it is safe.",
    "too_slow": "Too slow at {value:unit}. Go faster than {limit:unit}, then tell me.",
    "no_tool_needed": "No tool for this one: look and listen.",
    "skip_then": "Then it's {text} instead. Pass this one by? Yes or no.",
    "which_way": "Which was it: {ways}?",
    "way_of_broken": "You told me: {text}. {ways}, and nothing new put in? Yes or no.",
    "is_it_there": "{title}: {text}. Is that right?",
    "move_it": "{title}, {before}: was that {text}, not {place}? Yes or no.",
    "move_taken": "{text} already has {before}, so nothing was moved. Say scratch that to drop the last one.",
    "place_not_asked": "{text} is not what I asked, so I left it out. This is {place}.",
    "mend_which": "Which one: {text}?",
    "mend_none": "I have no such reading, so there is nothing to correct.",
    "corrected_next": "What is it, then?",
    "record_failed": "That is not logged. {text} I keep it and try again when you speak.",
    "record_moved_here": "The shop's database does not answer. From here on this session is kept on this machine.",
    "record_back": "The database is back. It has this session again.",
    "leave_unwritten": "That is not logged yet. Say stop once more to leave without it.",
    "microphone_lost": "I lost the microphone. {text} Plug it in again, or type. We stay at this step.",
    # Help
    "help": "{text}",
    "answers": "You can answer: {items}.",
    "commands": "You can say: say again, skip, go back, scratch that, hold on, why, what's left, note, or stop.",
    "why": "So that the work under the unit can be done without a break.",
    "why_fact": "It tells which faults are likely and which checks fit this unit.",
    "why_caution": "It keeps you safe. Source: {items}.",
    "why_proof": "A repair counts once it's verified.",
    "why_source": "Source: {items}.",
    "why_put_back": "What was opened must be closed before it rolls.",
    "talk_set": "All right.",
    "effort_one": "It takes about a minute, with nothing more to open.",
    "effort": "It takes about {minutes:whole} minutes, with nothing more to open.",
    "effort_open": "It takes about {minutes:whole} minutes. To open first: {items}.",
    "now_cautions": "We are at the cautions.",
    "now_facts": "We are at the questions.",
    "now_finding": "We are looking for the fault.",
    "now_surveying": "We are reading position by position.",
    "now_repairing": "We are at the repair.",
    "now_proving": "We are verifying the repair.",
    "now_closing": "We are closing up.",
    "now_ended": "It is over.",
    "readings_none": "No readings yet.",
    "readings_one": "One reading so far.",
    "readings_so_far": "I have {count:whole} readings so far.",
    "chance": "About {percent:whole} percent likely.",
    "whats_left": "Still suspected: {items}.",
    "nothing_left": "Nothing is suspected any more.",
    **REPLIES,
}
"""Key to phrase."""

REMARKS: dict[RemarkKind, str] = {
    RemarkKind.BY_SIZE: "It read below zero, so its size counts.",
    RemarkKind.SWAPPED: "Negative: are the leads swapped?",
    RemarkKind.SWAPPED_OR_POWERED: "Negative: are the leads swapped? Or is there power on this circuit?",
    RemarkKind.BELOW_LEADS: "Less than the leads alone: touch the probes together and read the leads again.",
    RemarkKind.OUTSIDE_USUAL: "Outside the usual {low} to {high}.",
    RemarkKind.BELOW_USUAL: "Below the usual {low}.",
    RemarkKind.ABOVE_USUAL: "Above the usual {high}.",
    RemarkKind.HOLD_FIRMLY: "What comes and goes points at a joint: wiggle the wire, and look at its pins.",
    RemarkKind.CHECK_METER: "Check that the meter is on and its battery good.",
    RemarkKind.NOT_UNDER: "Its limit holds only at {low} to {high}.",
    RemarkKind.NOT_CORRECTED: "Not corrected for coil temperature.",
}
"""Remark of a verdict to its sentence."""

HINTS: dict[str, str] = {
    "own_words": "say it in your own words",
    "yes_or_no": "yes or no",
    "confirm": "yes, no, or the right answer",
    "identifier": "digits and letters",
    "fix": "next when it is done, or no",
    "fix_way": "or no",
    "ready": "ready",
    "yes": "yes",
    "next": "next",
    "put_back": "yes, or no for one by one",
    "resume": "resume",
}
"""What could be answered, in a few words beside the prompt on a screen."""

GUESSED = {
    "skip": "Skip this one?",
    "go_back": "Back to the last question?",
    "withdraw": "Take the last answer back?",
    "correction": "Change the last answer?",
    "next": "Go on?",
    "note": "Shall I write that down?",
    "stop": "Stop here?",
    "yes": "Was that a yes?",
    "no": "Was that a no?",
    "done": "Is it done?",
    "parts": "Is the part not here?",
    "replaced": "Is that part new?",
    "light_out": "Did the light go out?",
    "light_on": "Did the light come on?",
    "order": "Another place first?",
    "not_now": "Is it not doing it now?",
}
"""What is asked about an intent that was guessed, by its name."""

MAY_MISS = "The closing test passed; {percent} percent that it missed what is still there."
"""What a passed proof leaves open, where something comes and goes."""
NOT_LOOKED_AT = "Not part of this survey: {items}."
"""What a survey leaves out."""

HEALTHY_NEAR = "after a repair a healthy one reads near {low} to {high}"
"""What a reading after a repair is judged by, where the check says what is usual."""

COMPARED_WITH = "within {percent}% of {reading}"
"""What a reading is judged by that is compared with another one."""

SAME_QUESTION = "Same as last time?"
TOLD_QUESTION = "Did I get that right?"
LAST_SEEN_UNKNOWN = "some time ago"
"""Whether a unit is as it was, where what it was is not named."""

WORDS_QUESTION, WORDS_HELP = "What's it doing?", "Say it in your own words: what you see, and when."
"""The question for the complaint where the session was begun without words of one, and its help."""

UNIT_QUESTION, UNIT_HELP = "What is the unit number?", "Say it digit by digit."
"""The question for the unit's number where the procedure asks none of its own, and its help."""

JACKS: dict[str, str] = {"volts": "V", "ohms": "ohms", "volts and ohms": "V-ohm"}
"""Jack of the red lead, by its name in a procedure or a table of meters, as it is said."""

ENDINGS: dict[str, str] = {
    "cured and proven": "fixed and verified",
    "cured, not proven": "fixed, not verified",
}
"""How a session ended, where that is said otherwise than a record names it."""

PLAIN_ENDINGS: dict[str, str] = {
    "cured and proven": "Fixed and tested",
    "cured, not proven": "Repaired, and not yet tested to the end",
    "not found": "The cause was not found",
    "not present today": "The trouble did not show today",
    "found, waiting": "The cause was found; the repair waits",
    "does not fit this unit": "Not looked into: this check does not fit the unit",
    "stopped": "Stopped before the end",
    "survey complete": "Everything was looked at",
    "survey, not complete": "Looked at in part",
    "left": "Not finished",
}
"""The same for who owns the unit."""
PLAIN_SURVEYS: dict[str, str] = {
    "good": "Everything was looked at, and it is good",
    "close": "Everything was looked at: something is close to its limit",
    "bad": "Everything was looked at: not all of it is good",
}
"""The same of a whole survey, by the worst that it read."""

GRADES: dict[str, str] = {
    "good": "good",
    "bad_low": "too low",
    "bad_high": "too high",
    "too_close": "too close to call",
    "bad_display": "out of limits",
    "close_display": "no verdict",
}
"""A verdict in a word or two, by its grade; the last two for a display without a value."""

NOT_AS_NEEDED = "Not as it must be before it rolls: {item}. It needs {needs}."
"""A look on the put-back list that found something else."""

NOT_READ = "not read"
"""In place of a reading under which another one was taken."""

FAULT = "fault"
"""A look or a code that shows one, in a word: limits are for readings."""

SHARE = "{title}: {percent} percent"
"""A suspect and its share."""

CONDITIONS: dict[str, str] = {
    "plugged no": "Leave it unplugged",
    "plugged yes": "Plug it in",
    "unplugged so": "Unplugged, {value}",
    "plugged so": "Plugged {value}",
    "amount": "{name}: {value}",
    "not": "not {name}",
}
"""Conditions of a check that are said otherwise than by their name and value."""

CONDITIONS_READ: dict[str, str] = {
    "plugged no": "unplugged",
    "plugged yes": "plugged in",
    "unplugged so": "unplugged, {value}",
    "plugged in so": "plugged in, {value}",
    "plugged in everything": "everything plugged in",
    "plugged so": "plugged {value}",
    "amount": "{name}: {value}",
    "not": "not {name}",
}
"""The same beside a reading in a record, where nothing is to be done any more."""

PLUG_FIRST = "Plug {plugs} back in first."
UNPLUG_FIRST = "Unplug {plugs} first."
LOAD_FIRST = "Put the load between {plus} and {minus} first."
LOAD_ON_FIRST = "Put the load back on first."
ENGINE_OFF_FIRST = "Engine off first."
PARKED_FIRST = "First park it again: brakes set, engine off, chocks in."
"""What a check needs and the unit, as it stands, lacks."""

NO_REASON_GIVEN = "no reason given"
"""Where a person was asked for a reason and gave none."""

MINUTES_ONE, MINUTES = "a minute", "{minutes} minutes"
OPEN_FIRST, OPEN_FIRST_AT = "with {access} to open first", "with {access} at {place} first"
NOTHING_TO_OPEN = "with nothing more to open"
OR, MANY_FAULTS = " or ", "many faults"
"""Parts of the planner's reasons, below."""

REASONS: dict[Why, str] = {
    Why.WRITTEN: "{text}",
    Why.SPLITS: "It splits {first} from {second} in {effort}.",
    Why.NARROWS: "It narrows down what is left in {effort}.",
    Why.COMES_FIRST: "It comes before {check}.",
    Why.COMES_BEFORE_SPLIT: "It comes before {check}, which splits {first} from {second}.",
    Why.MUCH_HANGS_ON_IT: "Taken once more: much hangs on it, and the hand may have slipped.",
    Why.BESIDE_A_LOOK: "A look alone is no measure: this tells it from what the look cannot.",
    Why.BEFORE_CONDEMNING: "Taken once more before a part goes by it: one slip must not cost a good part.",
    Why.SEEN_FIRST: "Nothing wrong was seen yet, and nothing is repaired that was never seen.",
    Why.LAST_LOOK: "No other check is left. It is taken once more, to see whether the hand slipped.",
    Why.WORTH_OFFERING: "It was skipped before, and would save about {minutes} now.",
    Why.LEFT_ALONE: "It was skipped before, and nothing else is left that helps.",
    Why.SAVES: "The answer should save about {minutes}.",
    Why.MUST_KNOW: "Nothing else is left to go by.",
    Why.JUDGED_BY: "The verdict on the reading hangs on it.",
    Why.CONDEMNED: "{check} points to {suspect}.",
    Why.POINTED_AT: "The readings point to {suspect}.",
    Why.QUICK_TRY: "It takes {minutes} to try and may be {suspect}.",
    Why.LITTLE_ELSE: "Little else is left but {suspect}: {percent} percent.",
    Why.NOTHING_APPLIES: "Nothing in this procedure can be wrong on this unit.",
    Why.PASSED_BY: "It may be {suspects}, and what would settle it was skipped or declined.",
    Why.NO_CHECK_LEFT: "It may be {suspects}, and no check is left that tells them apart, or shows the part bad.",
    Why.LITTLE_TO_SEE: "All reads well, and what is left to look at would hardly find anything for its minutes.",
    Why.NOT_SEEN: "The complaint did not show today, and every reading is good.",
    Why.WAITS: "{suspect} was found. Not repaired: {reason}.",
    Why.HANDED_OVER: "Handed over after {minutes}. It may be {suspects}.",
    Why.LONG_HUNT: "{minutes} by now; nine in ten take less.",
    Why.FOUND_BEFORE: "{suspect} was found on {day}. It waited: {reason}.",
    Why.IN_ORDER: "It is the next position in order.",
    Why.SKIPPED_BEFORE: "It was skipped before.",
    Why.ASKED_FOR: "You asked for it.",
    Why.ASKED_FOR_AGAIN: "You asked for it again.",
    Why.TOO_CLOSE: "The first reading was too close to call.",
    Why.TAKEN_BACK: "The last answer was deleted.",
    Why.AFTER_WORK: "Measured again after this work: {work}.",
    Why.SCRATCHED: "deleted",
    Why.WENT_BACK: "went back",
    Why.CORRECTED: "correction",
    Why.PUT_RIGHT: "It must be right before the others count.",
    Why.NOT_UNDER: "does not count: {check}",
    Why.READ_ONCE_MORE: "read once more",
    Why.READ_AGAIN: "read again",
    Why.ALL_PASSED: "every step passed",
    Why.PASSED_MAY_MISS: "every step passed; {percent} percent that it missed what is still there",
    Why.STEP_FAILED: "{step}: {answer}",
    Why.STEP_SKIPPED: "{step} was skipped: {reason}",
    Why.DOES_NOT_FIT: "{text}",
    Why.STOPPED: "the person stopped it",
    Why.ALL_READ: "every position was read",
    Why.NOT_READ: "not read: {items}",
    Why.UNFINISHED: "it was left unfinished",
    Why.ASKED_WHY: "asked why at {prompt}",
    Why.ASKED_WHERE: "asked where we are",
    Why.ASKED_WHATS_LEFT: "asked what is left",
    Why.CONFIRMED: "asked to confirm ({doubt}): yes",
    Why.TOO_QUICK: "{step} was answered after {seconds} s; asked once more: yes",
    Why.PROOF_LEAVES: "left by the test: {text}",
    Why.FIRST_HEARD: 'first heard as "{words}"',
    Why.NOT_UNDERSTOOD: 'not understood: "{words}"',
    Why.ASKED: 'asked: "{words}"',
    Why.TOLD: "You found it: {words}.",
    Why.REFUSED: "asked to confirm ({doubt}): no",
    Why.STANDS_OUT: "{check}: {value} {unit} stands out from the others, whose middle is {middle}",
    Why.SAYS_NOTHING: "{check}: {shown} said nothing for sure; asked once more",
}
"""Reason to its words; slots are named beside each reason. ``phrasing.reasons`` fills them in."""
