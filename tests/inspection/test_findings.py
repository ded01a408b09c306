"""What is wrong with a procedure as a whole. Each row breaks the small sound procedure in one place."""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.inspection import find_faults
from assistant.procedure.load import parse_procedure
from tests.procedure.small import SMALL, broken, line_of

UNITS = {"V", "ohm"}
CP = 'source = "common practice, no source"'
LONG = " ".join(["word"] * 45)
SECOND_ACCESS = (
    '[[access]]\nname = "nose"\nsay = "Open it."\nminutes = 1\nneeds = ["cover"]\n\n[[checks]]\nname = "volts"'
)

WIRE = '[checks.finds]\n"wire open"'
LIMITED = "[[checks.limits_when]]\nwhen = {}\nlimits = {{ low = 9, {} }}\n" + WIRE

ROWS = [
    # kind, what is replaced, by what, what stands on the finding's line, where and what the finding says
    ("twice", 'name = "lamp dead"', 'name = "wire open"', None,
     "fault 'wire open': There are two of this name in [[faults]]. Rename one."),
    ("fact", '{ brakes = "drum" }', '{ brake = "drum" }', "{ brake =",
     "access 'cover' / when: There is no fact 'brake'. Did you mean 'brakes'?"),
    ("answer", '{ brakes = "drum" }', '{ brakes = "drums" }', '"drums"',
     "access 'cover' / when: Fact 'brakes' has no answer 'drums'. Did you mean 'drum'?"),
    ("never", '{ brakes = "drum" }', "{ brakes = [] }", "brakes = []",
     "access 'cover' / when: No answer to 'brakes' is listed, so this never holds. Name one."),
    ("no choices", 'ask = "Disc or drum?"\nchoices = [{ name = "disc" }, { name = "drum" }]',
     'ask = "Disc or drum?"\nkind = "note"', "{ brakes =",
     "access 'cover' / when: Fact 'brakes' has no choices, so no condition can ask for one."),
    ("order", 'ask = "Disc or drum?"', 'ask = "Disc or drum?"\nwhen = { brakes = "disc" }', "when = { brakes",
     "fact 'brakes' / when: 'brakes' is not asked before this fact. Put [[facts]] 'brakes' above it."),
    ("needs", 'needs = ["cover"]', 'needs = ["lid"]', "lid",
     "check 'volts' / needs: There is no access 'lid'. Known: cover."),
    ("after", 'needs = ["cover"]', 'needs = ["cover"]\nafter = ["lok"]', "lok",
     "check 'volts' / after: There is no check 'lok'. Did you mean 'look'?"),
    ("caution", 'cautions = ["stands"]', 'cautions = ["stand"]', 'cautions = ["stand"]',
     "access 'cover' / cautions: There is no caution 'stand'. Did you mean 'stands'?"),
    ("group", 'title = "wire mended"\neach = "wheel"', 'title = "wire mended"\neach = "axle"', "axle",
     "fix 'mend' / each: There is no group of places 'axle'. Known: wheel."),
    ("fix", 'fix = "swap"', 'fix = "swop"', "swop",
     "fault 'lamp dead' / fix: There is no fix 'swop'. Did you mean 'swap'?"),
    ("same_as", 'fix = "swap"', 'fix = "swap"\nsame_as = ["bulb"]', "bulb",
     "fault 'lamp dead' / same_as: There is no fault 'bulb'. Known: lamp dead, wire open."),
    ("also_cures", 'say = "Mend the wire at {place}."', 'say = "Mend the wire at {place}."\nalso_cures = ["bulb"]',
     "bulb", "fix 'mend' / also_cures: There is no fault 'bulb'. Known: lamp dead, wire open."),
    ("also cures its own", 'say = "Mend the wire at {place}."',
     'say = "Mend the wire at {place}."\nalso_cures = ["wire open"]', "also_cures",
     "fix 'mend' / also_cures: 'wire open' names this fix as its own. Take it out of also_cures."),
    ("also cures elsewhere", 'say = "Mend the wire at {place}."',
     'say = "Mend the wire at {place}."\nalso_cures = ["lamp dead"]', "also_cures",
     "fix 'mend' / also_cures: 'lamp dead' does not sit at a place of 'wheel', where this fix is done. Take it out."),
    ("also_changes", 'say = "Mend the wire at {place}."',
     'say = "Mend the wire at {place}."\nalso_changes = ["ohm"]', '"ohm"',
     "fix 'mend' / also_changes: There is no check 'ohm'."),
    ("misses", '[[proof.steps]]', '[proof.misses]\n"lamp ded" = 0.3\n\n[[proof.steps]]', '"lamp ded" = 0.3',
     "proof / misses: There is no fault 'lamp ded'. Did you mean 'lamp dead'?"),
    ("finds a fault", '"lamp dead" = "broken"', '"lamp ded" = "broken"', '"lamp ded"',
     "check 'look' / finds: There is no fault 'lamp ded'. Did you mean 'lamp dead'?"),
    ("finds an outcome", "{ low = 0.9, good = 0.1 }", "{ lo = 0.9, good = 0.1 }", "{ lo =",
     "check 'volts' / finds: This check has no outcome 'lo'. Did you mean 'low'?"),
    ("elsewhere", '"wire open" = { low', '"lamp dead" = "good"\n[checks.elsewhere]\n"wire shut" = { low', "wire shut",
     "check 'volts' / elsewhere: There is no fault 'wire shut'. Known: lamp dead, wire open."),
    ("condemns", 'condemns = ["broken"]', 'condemns = ["brokn"]', "brokn",
     "check 'look' / condemns: This check has no outcome 'brokn'. Did you mean 'broken'?"),
    ("condemns good", 'condemns = ["broken"]', 'condemns = ["whole"]', 'condemns = ["whole"]',
     "check 'look' / condemns: 'whole' is what a sound part shows, so it condemns nothing. Take it out."),
    ("otherwise", 'otherwise = "whole"', 'otherwise = "good"', 'otherwise = "good"',
     "check 'look' / otherwise: This check has no outcome 'good'."),
    ("passes", 'passes = ["lit"]', 'passes = ["on"]', 'passes = ["on"]',
     "proof step 'light' / passes: There is no choice 'on'."),
    ("assume", 'ask = "Disc or drum?"', 'ask = "Disc or drum?"\nassume = "dsic"', "dsic",
     "fact 'brakes' / assume: There is no choice 'dsic'. Did you mean 'disc'?"),
    ("access circle", 'cautions = ["stands"]\nwhen', 'cautions = ["stands"]\nneeds = ["cover"]\nwhen',
     'needs = ["cover"]', "access 'cover' / needs: This can never be reached: cover > cover is a circle."),
    ("after circle", 'needs = ["cover"]', 'needs = ["cover"]\nafter = ["volts"]', "after =",
     "check 'volts' / after: This can never be reached: volts > volts is a circle. Take one of them out of 'after'."),
    ("not pointed at", '"lamp dead" = "broken"', '"lamp dead" = "whole"', '[[faults]]\nname = "lamp dead"',
     "fault 'lamp dead': No check points to this fault, so it can never be found. Name it in the finds of a check."),
    ("points to nothing", '"lamp dead" = "broken"', '"lamp dead" = "whole"', '[[checks]]\nname = "look"',
     "check 'look': This check points to no fault, so it would never be asked. Say what it finds."),
    ("never meet", 'name = "lamp dead"\n', 'name = "lamp dead"\nwhen = { brakes = "disc" }\n', None, ""),
    ("leads nowhere", '{ name = "broken" }]', '{ name = "broken" }, { name = "missing" }]', '"missing"',
     "check 'look' / choices: The outcome 'missing' leads nowhere: no fault shows it. Say which does, or remove it."),
    ("side leads nowhere", "low = 9.5", "low = 9.5\nhigh = 16", "high = 16",
     "check 'volts' / limits: A reading on the high side leads nowhere: no fault shows 'high'. Say which does."),
    ("sum", "{ low = 0.9, good = 0.1 }", "{ low = 0.9, good = 0.2 }", "good = 0.2",
     "check 'volts' / finds: The probabilities of 'wire open' add up to 1.1, not to 1."),
    ("probability", "{ low = 0.9, good = 0.1 }", "{ low = 1.5, good = -0.5 }", "good = -0.5",
     "check 'volts' / finds: A probability of 'wire open' is not between 0 and 1."),
    ("no unit", 'unit = "V"\n', "", '[[checks]]\nname = "volts"',
     "check 'volts': A reading needs a unit. Add unit = ..."),
    ("unit", 'unit = "V"', 'unit = "volts"', 'unit = "volts"', "check 'volts' / unit: There is no unit 'volts'."),
    ("source", "low = 9.5\n" + CP, 'low = 9.5\nsource = " "', "[checks.limits]",
     "check 'volts' / limits: There is no source. Name the regulation, standard or guide, or write"),
    ("caution source", 'go under."\n' + CP, 'go under."\nsource = ""', 'source = ""',
     "caution 'stands' / source: There is no source."),
    ("no limits", "low = 9.5\n", "", "[checks.limits]",
     "check 'volts' / limits: There is neither low nor high, so nothing can be judged. Add one."),
    ("low above high", "low = 9.5", "low = 9.5\nhigh = 8", "low = 9.5",
     "check 'volts' / limits: low 9.5 lies above high 8. Change them round."),
    ("outside span", "low = 9.5", "low = 95", "low = 95",
     "check 'volts' / limits: low 95 lies outside the span 0 to 30: the meter could never show it."),
    ("span", "span = [0, 30]", "span = [30, 0]", "span =",
     "check 'volts' / span: The span 30 to 0 is empty: write lowest, highest."),
    ("usual", "low = 9.5", 'low = 9.5\nusual = [9, 12]\nusual_source = "x"', "usual = ",
     "check 'volts' / limits: usual 9 to 12 reaches outside the limits."),
    ("usual source", "low = 9.5", "low = 9.5\nusual = [10, 12]", "usual = ",
     "check 'volts' / limits: usual has no source."),
    ("copper", "low = 9.5", "low = 9.5\ncopper = true", "[checks.limits]",
     "check 'volts' / limits: copper and small_ohms are for resistance, and this reading is in V."),
    ("over range", 'unit = "V"', 'unit = "ohm"', "[checks.limits]",
     "check 'volts' / limits: Say what over range means here: over_range = 'good' or over_range = 'bad'."),
    ("nameless", '{ name = "broken" }]', '{ name = "broken" }, { name = " " }]', "choices = [{ name = \"whole\"",
     "check 'look' / choices: A choice has no name. Write the words that answer it."),
    ("twins", '[{ name = "disc" }, { name = "drum" }]', '[{ name = "disc" }, { name = "drum", also = ["disc"] }]',
     'also = ["disc"]', "fact 'brakes' / choices: 'disc' and 'disc' sound alike. Change one of them."),
    ("near twins", '[{ name = "lit" }, { name = "dark" }]',
     '[{ name = "lit", also = ["marked"] }, { name = "market" }]',
     "marked", "proof step 'light' / choices: 'marked' and 'market' sound alike."),
    ("command", '{ name = "broken" }]', '{ name = "broken", also = ["no"] }]', 'also = ["no"]',
     "check 'look' / choices: 'no' is a command at every prompt. Choose other words."),
    ("one choice", '[{ name = "lit" }, { name = "dark" }]', '[{ name = "lit" }]', '[{ name = "lit" }]',
     "proof step 'light': A choice needs at least two choices."),
    ("no pass", 'passes = ["lit"]\n', "", '[[proof.steps]]',
     "proof step 'light': No answer passes this step, so no cure could be proven. Add passes = [...]."),
    ("too long", 'ask = "Disc or drum?"', f'ask = "{LONG}"', LONG,
     "fact 'brakes' / ask: This takes about 13 seconds to say. Say it in 12 or less."),
    ("place", 'say = "Fit a new lamp."', 'say = "Fit a new lamp at {place}."', "lamp at {place}",
     "fix 'swap' / say: {place} stands here, but this has no place. Write each = ..., or take it out."),
    ("braces", "How many volts at {place}?", "How many volts at {plcae}?", "{plcae}",
     "check 'volts' / ask: '{plcae}' means nothing. Only {place} is filled in."),
    ("danger", 'say = "Fit a new lamp."', 'say = "Raise the axle, then fit a new lamp."', '[[fixes]]\nname = "swap"',
     "fix 'swap': This names a raised axle, and no caution that speaks of it comes before. Name one in 'cautions'."),
    ("dangerous opening", '[[checks]]\nname = "volts"', SECOND_ACCESS.replace('needs = ["cover"]\n', "").replace(
        "Open it.", "Disconnect the battery."), '[[access]]\nname = "nose"',
     "access 'nose': This names a battery, and no caution that speaks of it comes before. Name one in 'cautions'."),
    ("another caution", 'say = "Fit a new lamp."', 'say = "Have the brake pedal held down."\ncautions = ["stands"]',
     '[[fixes]]\nname = "swap"',
     "fix 'swap': This names the brake pedal, and no caution that speaks of it comes before."),
    ("danger in a question", 'ask = "Disc or drum?"', 'ask = "Step on the brake pedal: disc or drum?"', None,
     "fact 'brakes': This names the brake pedal before any work. Add a caution that speaks of it, with"),
    ("danger in the proof", 'say = "Is the lamp lit or dark?"', 'say = "Engine running: is the lamp lit or dark?"',
     "[[proof.steps]]", "proof step 'light': This names a running engine, and no caution that speaks of it"),
    ("moving", 'kind = "choice"\nchoices = [{ name = "lit"',
     'quiet = true\nkind = "choice"\nchoices = [{ name = "lit"', "[[proof.steps]]",
     "proof step 'light': The unit moves here, and no caution comes before it."),
    ("unused access", '[[checks]]\nname = "volts"', SECOND_ACCESS, '[[access]]\nname = "nose"',
     "access 'nose': Nothing needs this access. Name it in 'needs', or remove it."),
    ("unused caution", 'cautions = ["stands"]\n', "", "[[cautions]]",
     "caution 'stands': Nobody would speak this caution. Name it in 'cautions', or write: first = true."),
    ("unused place", 'name = "right"\ngroup = "wheel"', 'name = "right"\ngroup = "lamp"', None,
     "place 'right': Nothing is done at places of this group. Name the group in 'each', or remove the place."),
    ("unused fix", 'fix = "swap"', 'fix = "mend"', '[[fixes]]\nname = "swap"',
     "fix 'swap': No fault names this fix. Remove it, or name it in a fault."),
    ("quantity asked", "How many volts at {place}?", "How many ohms at {place}?", "How many ohms",
     "check 'volts' / ask: This speaks of ohms, and the reading is taken in volts. Change one of them."),
    ("quantity on the dial", 'unit = "V"', 'unit = "V"\nleads = { dial = "ohms" }', "leads =",
     "check 'volts' / leads: This speaks of ohms, and the reading is taken in volts."),
    ("command's other form", '{ name = "broken" }]', '{ name = "broken", also = ["scratch that"] }]', "scratch that",
     "check 'look' / choices: 'scratch that' is a command at every prompt. Choose other words."),
    ("teen", '[{ name = "disc" }, { name = "drum" }]',
     '[{ name = "disc", also = ["thirteen"] }, { name = "drum", also = ["thirty"] }]', "thirteen",
     "fact 'brakes' / choices: 'thirteen' and 'thirty' sound alike. Change one of them."),
    ("same letters", '[{ name = "disc" }, { name = "drum" }]',
     '[{ name = "disc", also = ["brake"] }, { name = "drum", also = ["break"] }]', "brake\"]",
     "fact 'brakes' / choices: 'brake' and 'break' sound alike."),
    ("letters said alone", '[{ name = "disc" }, { name = "drum" }]',
     '[{ name = "disc", also = ["letter b"] }, { name = "drum", also = ["letter d"] }]', "letter b",
     "fact 'brakes' / choices: 'letter b' and 'letter d' sound alike."),
    ("short twins", '[{ name = "lit" }, { name = "dark" }]',
     '[{ name = "lit", also = ["hot"] }, { name = "dark", also = ["not"] }]',
     '"hot"', "proof step 'light' / choices: 'hot' and 'not' sound alike."),
    ("not to be said", '{ name = "broken" }]', '{ name = "broken" }, { name = "50/50" }]', "50/50",
     "check 'look' / choices: '50/50' can be typed but not heard. Write it in letters, or add also = [...]."),
    ("twins on their own line", '[{ name = "disc" }, { name = "drum" }]',
     '[\n    { name = "disc" },\n    { name = "discs" },\n]', "discs",
     "fact 'brakes' / choices: 'disc' and 'discs' sound alike."),
    ("fix at places", 'title = "lamp replaced"', 'title = "lamp replaced"\neach = "wheel"', 'fix = "swap"',
     "fault 'lamp dead' / fix: Its fix is done at a wheel, and this fault has none. Write each = 'wheel'"),
    ("tried and no trial", 'title = "lamp replaced"', 'title = "lamp replaced"\ntried = "good lamp tried"', "tried =",
     "fix 'swap' / tried: Only a trial that puts in a part is a test where it does not help."),
    ("every answer passes", 'passes = ["lit"]', 'passes = ["lit", "dark"]', "passes =",
     "proof step 'light': Every answer passes this step, so it proves nothing. Take one out."),
    ("proof asks nothing", 'kind = "choice"\nchoices = [{ name = "lit" }, { name = "dark" }]\npasses = ["lit"]\n', "",
     "[proof]", "proof: No step of the proof asks anything, so any cure would count as proven."),
    ("limits behind others", WIRE, "[[checks.limits_when]]\nwhen = { brakes = [\"disc\", \"drum\"] }\n"
     f"limits = {{ low = 9, {CP} }}\n[[checks.limits_when]]\nwhen = {{ brakes = \"drum\" }}\n"
     f"limits = {{ low = 8, {CP} }}\n" + WIRE, None,
     "check 'volts' / limits_when: This is never reached: one above it holds whenever this does."),
    ("at_proof", 'unit = "V"', 'unit = "V"\nat_proof = { brake = "disc" }', "at_proof",
     "check 'volts' / at_proof: There is no fact 'brake'. Did you mean 'brakes'?"),
    ("declines", 'ask = "Disc or drum?"', 'ask = "Disc or drum?"\ndeclines = { band = "Not for those." }', "declines",
     "fact 'brakes' / declines: There is no choice 'band'."),
    ("declined in too many words", 'ask = "Disc or drum?"',
     f'ask = "Disc or drum?"\ndeclines = {{ disc = "{LONG}" }}', "declines",
     "fact 'brakes' / declines: This takes about"),
    ("in hand too long", 'complaint = "Lamp is dark."', f'complaint = "Lamp is dark."\nin_hand = ["{LONG}"]',
     "in_hand",
     "in_hand: This takes about 14 seconds to say. Say it in 12 or less."),
    ("summary too long", "Finds why a lamp is dark.", LONG, LONG,
     "summary: This takes about 13 seconds to say."),
    ("typical outside", "span = [0, 30]", "span = [0, 30]\ntypical = [9, 12]", "typical",
     "check 'volts': typical 9 to 12 reaches outside the limits or the span."),
    ("typical reversed", "span = [0, 30]", "span = [0, 30]\ntypical = [12.5, 12]", "typical",
     "check 'volts': typical 12.5 to 12 is the wrong way round."),
    ("limits_when fact", WIRE, LIMITED.format('{ brake = "drum" }', CP), "brake =",
     "check 'volts' / limits_when: There is no fact 'brake'. Did you mean 'brakes'?"),
    ("limits_when place", WIRE, LIMITED.format('{ place = "lift" }', CP), '"lift"',
     "check 'volts' / limits_when: There is no place 'lift' here. Did you mean 'left'?"),
    ("access at no place", '[[checks]]\nname = "volts"',
     SECOND_ACCESS.replace("minutes = 1", 'minutes = 1\neach = "wheel"\nwhen = { place = "lift" }'), '"lift"',
     "access 'nose' / when: There is no place 'lift' here."),
    ("limits_when source", WIRE, LIMITED.format('{ place = "left" }', 'source = ""'), None,
     "check 'volts' / limits_when: There is no source."),
]  # fmt: skip


VOCABULARY = catalog.load_vocabulary()


def findings(text: str, model_words: set[str] | None = None) -> dict[str, int | None]:
    found = find_faults(parse_procedure(text, "lamp.toml"), text, UNITS, model_words, VOCABULARY)
    return {f"{finding.where}: {finding.text}": finding.line for finding in found}


def test_a_sound_procedure_has_no_findings() -> None:
    assert findings(SMALL) == {}


@pytest.mark.parametrize(
    ("old", "new", "piece", "expected"), [row[1:] for row in ROWS if row[4]], ids=[row[0] for row in ROWS if row[4]]
)
def test_each_kind_of_finding(old: str, new: str, piece: str | None, expected: str) -> None:
    text = broken(old, new)
    found = findings(text)
    match = [sentence for sentence in found if sentence.startswith(expected)]
    assert match, sorted(found)
    assert found[match[0]] is not None
    if piece is not None:
        assert found[match[0]] == line_of(text, piece)


def test_checks_that_never_apply_where_the_fault_can_be() -> None:
    text = broken('name = "lamp dead"\n', 'name = "lamp dead"\nwhen = { brakes = "disc" }\n').replace(
        'name = "look"\n', 'name = "look"\nwhen = { brakes = "drum" }\n'
    )
    assert (
        "fault 'lamp dead': The checks that point to this fault never apply where it can be. Compare their 'when'."
        in (findings(text))
    )


def test_places_that_are_never_there_when_it_applies() -> None:
    text = broken('name = "left"\ngroup = "wheel"', 'name = "left"\ngroup = "wheel"\nwhen = { brakes = "drum" }')
    text = text.replace(
        'name = "right"\ngroup = "wheel"', 'name = "right"\ngroup = "wheel"\nwhen = { brakes = "drum" }'
    )
    text = text.replace('name = "wire open"\n', 'name = "wire open"\nwhen = { brakes = "disc" }\n')
    found = findings(text)
    expected = "fault 'wire open': No wheel can be there when this applies. Compare their 'when'."
    assert found[expected] == line_of(text, 'when = { brakes = "disc" }')


def test_a_check_whose_faults_never_are_where_it_applies() -> None:
    text = broken('name = "lamp dead"\n', 'name = "lamp dead"\nwhen = { brakes = "disc" }\n').replace(
        'name = "look"\n', 'name = "look"\nwhen = { brakes = "drum" }\n'
    )
    expected = "check 'look': The faults that this check points to never are where it applies. Compare their 'when'."
    assert findings(text)[expected] == line_of(text, 'when = { brakes = "drum" }\ntitle = "look')


def test_over_range_that_is_bad_and_that_no_fault_shows() -> None:
    text = broken('unit = "V"', 'unit = "ohm"').replace("many volts", "many ohms")
    text = text.replace("low = 9.5", 'low = 9.5\nover_range = "bad"')
    expected = "check 'volts' / limits: Over range is bad here and leads nowhere: no fault shows 'over_range'."
    (line,) = (line for sentence, line in findings(text).items() if sentence.startswith(expected))
    assert line == line_of(text, "over_range =")


def test_a_longer_circle_is_named_once() -> None:
    text = broken('needs = ["cover"]', 'needs = ["cover"]\nafter = ["look"]').replace(
        'title = "look at the lamp"', 'title = "look at the lamp"\nafter = ["volts"]'
    )
    (circle,) = (sentence for sentence in findings(text) if "circle" in sentence)
    assert circle.startswith("check 'volts' / after: This can never be reached: volts > look > volts is a circle.")


def test_words_that_the_recognizer_lacks_are_named() -> None:
    known = {"disc", "whole", "broken", "lit", "dark", "left", "right"}
    assert findings(SMALL, known) == {
        "fact 'brakes' / choices: The recognizer does not have the word 'drum'. Choose another.": line_of(
            SMALL, '"drum"'
        )
    }


def test_units_are_not_checked_when_none_are_given() -> None:
    text = broken('unit = "V"', 'unit = "volts"')
    assert find_faults(parse_procedure(text, "lamp.toml"), text) == []


def test_findings_come_in_file_order() -> None:
    text = broken('passes = ["lit"]', 'passes = ["on"]').replace('fix = "swap"', 'fix = "swop"')
    lines = [line or 0 for line in findings(text).values()]
    assert len(lines) >= 2
    assert lines == sorted(lines)


def test_a_survey_asks_checks_that_point_to_no_fault() -> None:
    text = """format = 1
kind = "survey"
name = "lamps"
title = "lamp survey"
summary = "Looks at every lamp."
complaint = "Lamp survey."

[[places]]
name = "left"
group = "lamp"

[[checks]]
name = "volts"
title = "volts at the lamp"
each = "lamp"
ask = "{place}: how many volts?"
unit = "V"
span = [0, 30]
minutes = 1
limits = { low = 11, source = "common practice, no source" }

[[checks]]
name = "look"
title = "look at the lamp"
kind = "choice"
each = "lamp"
ask = "{place}: whole or broken?"
minutes = 1
otherwise = "whole"
choices = [{ name = "whole" }, { name = "broken" }]
"""
    assert findings(text) == {}
    assert any("points to no fault" in text for text in findings(text.replace('kind = "survey"', _FINDING)))


_FINDING = """kind = "find"
faults = [{ name = "dead", title = "dead", weight = 1, fix = "swap" }]
fixes = [{ name = "swap", title = "swapped", say = "Swap it.", minutes = 1 }]
proof = { source = "common practice, no source", steps = [{ name = "on", say = "Switch it on." }] }"""
