"""``grammars/hazards.toml``: each form is exercised by a sentence, and what says no danger is none."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.errors import DocumentError
from assistant.library import files, find, read_toml
from assistant.numerals.sentence_forms import sentence_pattern
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.hazards import (
    KINDS,
    about,
    asks,
    asks_how,
    asks_whether_safe,
    hazard_of,
    made_safe,
    only_no_good,
    only_of_rolling,
    told_over,
)
from tests.rows import each_row

VOCABULARY = load_vocabulary()
TABLES = read_toml(find("grammars", "hazards.toml"))
SLOTS = {name: tuple(texts) for name, texts in TABLES["slots"].items()}
SAID = {
    "leave": "is it okay to crank it|is this thing dangerous|safe to touch?|am i clear|will the old spring bite me",
    "whether": "you want me to shut it off|should i pull the cable|am i supposed to lift it|i have to lift it?|"
    "what happens if it rolls|so crank it up now?|hit the starter|so, wait, i pull the cable off?|so i loosen it now",
    "which": "what should i grab",
    "plainly": "where do my hands go",
    "hands": "it's jacked up|while it runs i reach in|reach behind the drum|with gloves on|start the truck|a charger|"
    "uncage the chamber|the glad hand|pull the ground cable|take off both wheels|spin the hub|i'm by myself|roll it",
    "battery": "the batteries on this side look swollen|a swollen old battery|it's leaking some kind of acid|"
    "electrolyte all over|the battery is smoking|a cracked case|my wrench fell across the posts|"
    "it sparked at the terminal|the post arced|it smells like rotten eggs",
    "lifted": "the jack is sinking|only on a bottle jack|all i got is a jack|ain't got any jack stands|"
    "the trailer shifted while i was there|the chock popped out",
    "air": "the chamber is rusted through|the caging bolt is bent|the push rod jumped|the hose is about to blow|"
    "the pressure is dropping fast",
    "wheel": "that wheel is about to fall|two studs sheared|a bubble in the sidewall|the tire is bulging|"
    "it's rolling on its own",
    "fumes": "i'm getting dizzy|carbon monoxide in here|the bay is filling up with smoke|i smell diesel|"
    "fuel on the floor",
    "denied": "that isn't so",
    "not_so": "i don't see a leak",
    "over": "we're all good|false alarm",
    "made_safe": "okay, the fuel's been cut off now.",
    "no_good": "it's a dead battery",
    "of_rolling": "not after rolling",
    "engine": "the engine is still running",
    "under": "i'm going under",
    "asks": "so, which one|when do i stop|hey can i do it|you want me to|well you sure|any idea",
    "asks_how": "how do i do this|is there some other way",
}  # fmt: skip
TOPICS = {
    "lifted": "can i crawl under there|Put it on stands on level ground.",
    "cranking": "can i crank it|Stand clear when it cranks.",
    "engine": "is it ok with the engine running|Work with the engine off.",
    "battery": "can i pull the post clamp|A battery makes gas.",
    "springs": "can i cage it|A spring brake stores force.",
    "air": "can i pull the hose|Let the air in the tanks out.",
    "wheel": "can i spin the hub|Look before you turn it.",
    "load": "is it hot|The load gets hot.",
    "dust": "can i blow it out|Never blow off brake dust.",
    "cover": "do i need goggles|Wear eye protection.",
    "rolling": "can i drive it|Look around before it rolls.",
}


def test_every_part_is_known() -> None:
    named = {f"{begins}{topic}" for topic in TOPICS for begins in ("named_", "told_")}
    assert set(VOCABULARY.hazards) == {*SAID, *named}


@each_row([(part, form) for part in SAID for form in TABLES[part]["forms"]])
def test_each_form_is_exercised(part: str, form: str) -> None:
    pattern = sentence_pattern([form], SLOTS)
    assert any(pattern.search(text) for text in SAID[part].split("|"))


@each_row([(part, text) for part in SAID for text in SAID[part].split("|")])
def test_each_sentence_is_of_its_part(part: str, text: str) -> None:
    assert VOCABULARY.hazards[part].search(text)


@each_row([(topic, *row.split("|")) for topic, row in TOPICS.items()])
def test_a_caution_speaks_of_what_is_asked(topic: str, asked: str, caution: str) -> None:
    assert VOCABULARY.hazards[f"named_{topic}"].search(asked)
    assert about(asked, caution, VOCABULARY)
    assert not about("can i write it down", caution, VOCABULARY)


@each_row([(kind, text) for kind in KINDS for text in SAID[kind].split("|")])
def test_a_danger_is_told_by_its_kind_and_denied(kind: str, text: str) -> None:
    assert hazard_of(text, VOCABULARY) == kind
    assert hazard_of(f"I’m looking for {text.upper()}", VOCABULARY) != kind


def test_what_is_asked_and_what_is_none() -> None:
    assert asks_whether_safe("Is it okay to  reach in there", VOCABULARY)
    assert not asks_whether_safe("where should I reach in", VOCABULARY), "a place is asked for"
    assert not asks_whether_safe("is it okay to write it down", VOCABULARY), "nothing that can hurt"
    assert asks("it reads 12.6, which one do I take", VOCABULARY)
    assert not asks("which we got", VOCABULARY)
    assert not asks("when it's warm", VOCABULARY)
    assert not asks("it reads 12.6", VOCABULARY)
    assert asks_how("how would I do that", VOCABULARY)
    assert told_over("false alarm", VOCABULARY)
    assert made_safe("power is off", VOCABULARY)
    assert not made_safe("power is off the chart", VOCABULARY)
    assert only_no_good("a weak cell", VOCABULARY)
    assert only_of_rolling("only when it rolls", VOCABULARY)
    assert not only_of_rolling("when it rolls away", VOCABULARY)


def test_a_form_that_cannot_be_read_is_a_fault() -> None:
    tables = {path.stem: read_toml(path) for path in files("grammars")}
    broken = {**TABLES, "over": {"forms": ["[false alarm"]}, "engine": {"forms": ["<motor>"]}}
    with pytest.raises(DocumentError) as caught:
        Vocabulary.from_tables({**tables, "hazards": broken})
    assert [(one.where, one.text) for one in caught.value.findings] == [
        ("hazards.toml / engine", "There is no slot <motor> for it."),
        ("hazards.toml / over", "'[false alarm' has a '[' that is not closed."),
    ]
