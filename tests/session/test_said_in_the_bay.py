"""What technicians say at a prompt beside its answers, and what comes of it: nothing wrong is ever logged.

A row is a scene (``tests.session.scenes``), what is said there (several lines divided by ``//``), what the last line
logs (``check@place=value``, ``fact=value``; '' for nothing) and a word that the last reply must say.
"""

from __future__ import annotations

import pytest

from assistant.messages.decisions import Decision, FactAnswered, ObservationWithdrawn, Observed
from assistant.session.dialog_state import Mode
from tests.session.conversation import Conversation
from tests.session.scenes import at, context_of

ALONE = "battery-and-charging check battery alone@second battery; fact batteries=four batteries"
BANK = f"{ALONE}; battery alone@first battery=12.7"
RING = "trailer-abs-light-on check sensor against ring@left front; fact sensors wired=two"
WIRE = "trailer-abs-light-on check look at the wire@left front; fact sensors wired=two"
OHMS = "trailer-abs-light-on check sensor ohms@left rear; fact sensors wired=four"


def logged(made: list[Decision]) -> str:
    """What was logged, as in the table."""
    found = []
    for one in made:
        if isinstance(one, Observed):
            value = one.choice or one.display or ("" if one.value is None else f"{one.value.normalize():f}")
            found.append(f"{one.check}@{one.place or ''}={value}")
        elif isinstance(one, FactAnswered):
            found.append(f"{one.fact}={one.value}")
        elif isinstance(one, ObservationWithdrawn):
            found.append("taken back")
    return "; ".join(found)


def check_row(scene: str, said: str, logs: str, says: str) -> None:
    """Play one row."""
    talk = at(scene)
    *before, last = (line.strip() for line in said.split("//"))
    talk.dialog(before)
    done = len(talk.decisions)
    replies = talk.text(talk.hear(last))
    assert logged(talk.decisions[done:]) == logs, replies
    assert says.lower() in replies.lower()


@pytest.mark.parametrize("said", [
    "right rear one is loose, I can spin it with my fingers", "right rear's backed way off",
    "the right rear sensor's hanging loose, bracket's broke off", "on the right rear it's touching",
    "left rear is touching", "it's the right rear that's backed off", "right one's backed off a quarter inch",
    "rear one's backed off", "it's backed off on the right hand side wheel", "the other side is backed off",
])  # fmt: skip
def test_a_wheel_that_is_named_is_never_logged_at_the_one_asked(said: str) -> None:
    check_row(RING, said, "", "")


@pytest.mark.parametrize("said", [
    "right rear wire's cut", "it's the rear one that's cut", "curb side rear is chafed through", "right rear is fine",
])  # fmt: skip
def test_nor_where_its_wire_is_looked_at(said: str) -> None:
    check_row(WIRE, said, "", "left front")


@pytest.mark.parametrize(("said", "logs"), [
    ("12.6 on the second one", "battery alone@second battery=12.6"),
    ("next one's 12.6", "battery alone@second battery=12.6"),
    ("number two is 12.6", "battery alone@second battery=12.6"),
    ("second battery is 12.6", "battery alone@second battery=12.6"),
    ("twelve six on number two", "battery alone@second battery=12.6"),
    ("the second one's at twelve six", "battery alone@second battery=12.6"),
    ("12.6 after a second", None),
    ("second 12.6 third 10.6 fourth 12.5",
     "battery alone@second battery=12.6; battery alone@third battery=10.6; battery alone@fourth battery=12.5"),
    ("12.6, third one 10.6, fourth 12.5",
     "battery alone@second battery=12.6; battery alone@third battery=10.6; battery alone@fourth battery=12.5"),
    ("third one is 12.6", "battery alone@third battery=12.6"),
])  # fmt: skip
def test_batteries_are_named_as_people_do(said: str, logs: str | None) -> None:
    if logs is not None:
        check_row(BANK, said, logs, "12.6")
        return
    talk = at(BANK)
    talk.hear(said)
    assert logged(talk.decisions) in ("", "battery alone@second battery=12.6")


@pytest.mark.parametrize("said", [
    "no no that 10.6 was the third one, second is 12.6", "oops that 10.6 was number three",
    "scratch the 10.6 on number two, that was number three", "wait, that was number three",
    "I had the wrong battery, that was the third one", "my bad, 10.6 was number three",
    "that's number three's reading not number two's", "no, ten six was battery three",
])  # fmt: skip
def test_a_value_that_was_of_another_battery_is_moved_after_a_yes(said: str) -> None:
    check_row(BANK, f"10.6 // {said}", "", "was that third battery, not second battery?")
    check_row(BANK, f"10.6 // {said} // yes", "taken back; battery alone@third battery=10.6", "")


@pytest.mark.parametrize("said", ["scratch that, I was on the wrong battery", "strike that, wrong battery"])
def test_what_is_scratched_is_the_last_answer(said: str) -> None:
    check_row(BANK, f"12.6 // {said}", "taken back", "how many volts")


POSTS = "battery-and-charging check posts and cables"
LIGHT = "trailer-abs-light-on check light at power-up"
STROKE = "pushrod-stroke check stroke@left steer"
CRANK = "battery-and-charging before cranking volts"


@pytest.mark.parametrize(("scene", "said"), [
    (POSTS, "engine's still running, you want me to shut it off before I grab these cables?"),
    (POSTS, "want me to kill the engine before I touch these"),
    (POSTS, "is it safe to touch these with it running"),
    (POSTS, "should I shut her off first"),
    (POSTS, "do I need gloves for this"),
    (POSTS, "am I okay to pull the ground cable with the charger on"),
    (LIGHT, "is it ok to crawl under there with the wheels off the ground"),
    (LIGHT, "am I good to get under it"),
    (LIGHT, "can I get under it while it's on the jack"),
    (LIGHT, "what if the spring brake lets go"),
    (LIGHT, "is it safe to pull the drum with the air on"),
    (STROKE, "can I stick my hand in there while he holds the pedal"),
    (CRANK, "so crank it now?"), (CRANK, "do I crank it now or wait"), (CRANK, "crank it now"),
    (CRANK, "wait you want me to take the ground off now?"), (CRANK, "want me to hit the starter"),
    (BANK, "is it safe to leave the charger on this one"),
    (f"{POSTS}; rest volts=12.6", "all tight // is it okay to reach in there with it running"),
])  # fmt: skip
def test_a_safety_question_gets_a_safe_word_and_is_no_answer(scene: str, said: str) -> None:
    talk = at(scene)
    *before, last = said.split(" // ")
    talk.dialog(before)
    done = len(talk.decisions)
    assert talk.text(talk.hear(last)).startswith("Stop")
    assert logged(talk.decisions[done:]) == ""


@pytest.mark.parametrize(("said", "word"), [
    ("one of these batteries is swole up, is it safe to charge it?", "charg"),
    ("that third one's case is bulged on both sides", "charg"),
    ("one of em's leaking acid", "charg"), ("acid's dripping on my boots", "charg"),
    ("I dropped the wrench across the posts and got a spark", "charg"),
    ("got a big spark when I hooked up the clamp to the battery", "charg"),
    ("smells like rotten eggs over here", "charg"), ("battery's boiling over", "charg"),
    ("this battery's frozen", "charg"), ("battery is hissing at me", "charg"),
    ("the jack's leaking down", "under it"), ("the stand's leaning pretty bad", "under it"),
    ("all I got under it is the jack", "under it"), ("I ain't got any stands", "under it"),
    ("trailer just shifted on me", "under it"), ("the chocks slid", "under it"),
    ("chamber clamp's rusted through", "hands out"), ("caging bolt won't catch", "hands out"),
    ("pushrod just jumped on its own", "hands out"), ("air hose is about to let go", "hands out"),
    ("two of the wheel studs are broke off", "step away"), ("wheel's about to come off", "step away"),
    ("there's a bulge in the sidewall", "step away"),
    ("got a headache from the exhaust in here", "fresh air"), ("I'm getting dizzy", "fresh air"),
    ("diesel's dripping all over the floor", "fresh air"),
])  # fmt: skip
@pytest.mark.parametrize("scene", [BANK, LIGHT, CRANK])
def test_a_danger_is_met_as_what_it_is(scene: str, said: str, word: str) -> None:
    check_row(scene, said, "", word)


@pytest.mark.parametrize("said", [
    "no acid leaking that I can see", "none of em are swollen", "posts aren't sparking", "no bulges in the case",
])  # fmt: skip
def test_what_is_denied_is_no_danger(said: str) -> None:
    talk = at(POSTS)
    assert "stop" not in talk.text(talk.hear(said)).lower()


@pytest.mark.parametrize("over", ["we're good, it was just steam", "all clear", "okay", "it's okay now", "done"])
def test_what_tells_a_danger_to_be_over_does_no_step(over: str) -> None:
    talk = at("battery-and-charging access battery alone@second battery")
    talk.hear("battery's smoking")
    done = len(talk.decisions)
    talk.hear(over)
    assert not [one for one in talk.decisions[done:] if one.kind == "access_opened"]
    talk.hear("next")
    assert [one for one in talk.decisions[done:] if one.kind == "access_opened"]


@pytest.mark.parametrize("said", ["fuel's cut", "okay, fuel's shut off", "the air's dumped", "key's out"])
def test_what_is_switched_off_is_no_danger(said: str) -> None:
    talk = at(CRANK)
    assert "clear" not in talk.text(talk.hear(said)).lower()


CODES = "trailer-abs-light-on check code names a wheel; fact sensors wired=four"


@pytest.mark.parametrize(("scene", "said", "logs", "says"), [
    (CODES, "no no don't skip it, I blinked it out and it says left rear sensor open",
     "code names a wheel@=left rear; kind of the code@=open or short", "left rear"),
    (CODES, "wait don't skip that one", "", "going on"), (CODES, "I didn't mean to skip that", "", "going on"),
    (CODES, "nope, not skipping it", "", "going on"), (CODES, "never mind", "", "going on"),
    (CODES, "left rear", "", "is that right"), (CODES, "I changed my mind, it's left rear", "", "is that right"),
    (CODES, "don't skip it, it's power", "", "power"), (CODES, "don't have a reader", "", "skipped"),
    ("battery-and-charging check rest volts", "12.6", "", "12.6 V. Is that right"),
    ("battery-and-charging check rest volts", "no wait, 12.6", "", "12.6 V. Is that right"),
    ("battery-and-charging check rest volts", "meter's dead", "", "skipped"),
    (CODES, "is it safe to crawl under there", "", "stop"),
])  # fmt: skip
def test_a_skip_is_taken_back_where_its_reason_is_asked(scene: str, said: str, logs: str, says: str) -> None:
    check_row(scene, f"skip it // {said}", logs, says)


@pytest.mark.parametrize("said", [
    "how do I read codes without a reader, can I blink em out", "is there a way to get codes without a scan tool",
    "can you get em without a reader?", "what's the first number you want",
])  # fmt: skip
def test_a_question_skips_and_answers_nothing(said: str) -> None:
    talk = at(CODES)
    replies = talk.text(talk.hear(said)).lower()
    assert "pass this one by" not in replies
    assert "did you mean" not in replies


@pytest.mark.parametrize(("said", "logs"), [
    ("stays on till the wheels turn, then goes out", "stays on"),
    ("it stays lit until I roll it and then it goes off", "stays on"),
    ("on solid til you drive it, then it's out", "stays on"),
    ("stays on standing still, drops out around five mile an hour", "stays on"),
    ("goes out when you drive off", ""), ("it goes out once we're moving", ""), ("goes out after I roll it", ""),
    ("stays on after I roll it", ""), ("rolled it, light went out at about eight mile an hour", ""),
    ("there's nothing wrong with it, I rolled it and the light went out", ""),
    ("drove it around the yard and the light went off", ""), ("stays on", "stays on"), ("goes out", "goes out"),
    ("the right rear sensor's hanging loose, bracket's broke off", ""),
])  # fmt: skip
def test_what_the_light_does_rolling_is_no_answer_at_standstill(said: str, logs: str) -> None:
    check_row(LIGHT, said, f"light at power-up@={logs}" if logs else "", "")


CRANKS = "battery-and-charging check cranks"
REST = "battery-and-charging check rest volts"


@pytest.mark.parametrize(("scene", "said", "says"), [
    (REST, "the main cable at the starter is all corroded through, I found it", "power side. Log it as found"),
    (REST, "the positive cable at the starter's all green and corroded", "power side. Log it as found"),
    (REST, "ground cable's rotted off at the frame", "ground side. Log it as found"),
    (REST, "found it // the positive cable at the starter's all green", "power side. Log it as found"),
    (REST, "one of the batteries is junk", ""), (REST, "one of em's got a bad cell", ""),
    (REST, "positive cable's tight", ""), (REST, "I think it's a bad battery", ""),
    (CRANKS, "battery number three is dead", ""), (CRANKS, "the batteries are dead", ""),
    (CRANKS, "isn't it pretty obviously a bad battery", ""), (CRANKS, "alternator's shot", ""),
    ("trailer-abs-light-on check port volts@left front; fact sensors wired=two",
     "right rear sensor bracket is broke off", ""),
])  # fmt: skip
def test_a_finding_of_another_part_is_offered_as_that_and_logs_nothing(scene: str, said: str, says: str) -> None:
    check_row(scene, said, "", says)


BOX = "battery-and-charging access battery alone@second battery"
NEW = "battery-and-charging fix replace the battery@third battery"


@pytest.mark.parametrize(("scene", "said", "says"), [
    (BOX, "okay they're numbered one through four with the paint pen", "Is it done?"),
    (BOX, "numbered 'em", "Is it done?"), (BOX, "got em all numbered now", "Is it done?"),
    (BOX, "batteries are marked one to four", "Is it done?"),
    (BOX, "box is open, all four numbered", "so that each battery stands alone"),
    (BOX, "okay cover's off and I marked every one", "so that each battery stands alone"),
    (NEW, "put a new number three in, charged em all up, cables back on", "Is it done?"),
    (NEW, "new battery's in and hooked up", "Is it done?"),
])  # fmt: skip
def test_work_is_told_as_done_in_own_words(scene: str, said: str, says: str) -> None:
    check_row(scene, said, "", says)


@pytest.mark.parametrize("said", [
    "numbering them now", "about to number them", "haven't numbered em yet", "the lid's stuck", "paint pen's dry",
    "can't get the box open", "box opens up underneath?", "one's not numbered", "I'll number them", "should be open",
    "box is half open", "need to number them", "open it how", "wish it was open",
])  # fmt: skip
def test_what_is_not_done_is_not_told_as_done(said: str) -> None:
    talk = at(BOX)
    done = len(talk.decisions)
    replies = talk.text(talk.hear(said))
    assert not [one for one in talk.decisions[done:] if one.kind == "access_opened"], replies


TESTER = "battery-and-charging check load tester"


@pytest.mark.parametrize(("scene", "said", "says"), [
    (TESTER, "like I told you I don't have a load tester", "pass this one by"),
    (TESTER, "ain't got a load tester", "pass this one by"), (TESTER, "meter isn't dead", "one of"),
    (TESTER, "both good, nothing dead", "both good"), (TESTER, "the load ain't dead", "one of"),
    ("trailer-abs-light-on fact comes on", "haven't seen it on after rolling myself", "again"),
    ("trailer-abs-light-on fact comes on", "not after rolling", "again"),
])  # fmt: skip
def test_what_is_denied_is_no_answer_to_be_asked_about(scene: str, said: str, says: str) -> None:
    check_row(scene, said, "", "" if says == "again" else says)
    talk = at(scene)
    replies = talk.text(talk.hear(said)).lower()
    assert "dead?" not in replies
    assert "clear first" not in replies


@pytest.mark.parametrize(("said", "note"), [
    ("wait, write up that I burned half an hour labor and used one splice kit",
     "I burned half an hour labor and used one splice kit"),
    ("yes, and write down I rolled it around the lot", "I rolled it around the lot"),
    ("put down that the posts were green", "the posts were green"),
    ("hey, jot down one hold-down is missing", "one hold-down is missing"),
])  # fmt: skip
@pytest.mark.parametrize("scene", [REST, LIGHT, CRANKS, BOX])
def test_a_note_is_kept_whole_and_logs_nothing(scene: str, said: str, note: str) -> None:
    talk = at(scene)
    talk.hear(said)
    assert [one.text for one in talk.decisions if one.kind == "note_taken"][-1:] == [note]
    assert logged(talk.decisions) == ""


@pytest.mark.parametrize("said", ["I gotta quit for the day, save it for tomorrow", "gonna pick this up tomorrow"])
def test_the_end_of_a_day_leaves_it_open(said: str) -> None:
    check_row(REST, said, "", "next shift")


@pytest.mark.parametrize(("scene", "logs"), [(CRANKS, ""), ("tire-tread-depth check look@left steer", "")])
def test_a_bare_yes_among_three_answers_names_none(scene: str, logs: str) -> None:
    talk = at(scene)
    assert "fast?" not in talk.text(talk.hear("yes")).lower()
    assert logged(talk.decisions) == logs


@pytest.mark.parametrize(("said", "logs"), [
    ("it says open circuit", "open or short"), ("open circuit", "open or short"),
    ("open circuit like I told you", "open or short"),
])  # fmt: skip
def test_a_choice_with_its_own_word_is_not_asked_about(said: str, logs: str) -> None:
    check_row("trailer-abs-light-on check kind of the code; code names a wheel=left rear", said,
              f"kind of the code@={logs}", "")  # fmt: skip


@pytest.mark.parametrize("said", [
    "no codes now", "none, I already cleared it", "there's none in there", "nothing stored", "nope, no active codes",
])  # fmt: skip
def test_no_codes_before_clearing_are_kept_and_the_step_is_done(said: str) -> None:
    talk = at("trailer-abs-light-on proof read codes")
    talk.hear(said)
    done = [(one.step, one.answer) for one in talk.decisions if one.kind == "proof_step_done"]
    assert done == [("read codes", "no codes")]


@pytest.mark.parametrize("said", ["can't read codes", "none yet", "no codes but the light's on", "do I need codes?"])
def test_what_tells_of_no_reading_does_not(said: str) -> None:
    talk = at("trailer-abs-light-on proof read codes")
    talk.hear(said)
    assert not [one for one in talk.decisions if one.kind == "proof_step_done"]


def _begun(said: str) -> bool:
    talk = Conversation(context_of("battery-and-charging")).begin()
    talk.hear(said)
    return talk.mode not in (Mode.READY, Mode.HELD)


@pytest.mark.parametrize("said", [
    "yep, ready to roll", "ok ready. driver says it's been doing it a week", "yes, and it's parked level",
    "ready, got my stuff", "yeah let's go, it's raining", "yeah, I'm all set here", "all set, meter's charged",
    "okay yes, coffee's done",
])  # fmt: skip
def test_words_behind_a_yes_take_nothing_of_it_back(said: str) -> None:
    assert _begun(said)


@pytest.mark.parametrize("said", [
    "yes but not yet", "yeah, in a minute", "ready? for what", "yeah no, hold on", "yes, when I find my gloves",
    "ready as soon as he moves it, wait",
])  # fmt: skip
def test_words_behind_a_yes_may_take_it_back(said: str) -> None:
    assert not _begun(said)


@pytest.mark.parametrize("said", [
    "what parts should I grab", "what do I touch with the red", "how do I cage the brake", "where do we stand",
    "what number did we put this under",
])  # fmt: skip
def test_what_asks_for_a_thing_or_a_way_asks_for_no_leave(said: str) -> None:
    talk = at(OHMS)
    assert not talk.text(talk.hear(said)).startswith("Stop")
