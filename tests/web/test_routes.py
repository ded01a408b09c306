"""What the pages ask for: start, resume, leave, records; and no part of a request is ever a path."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.web.routes import WORKER, assets
from assistant.web.session_worker import MOST_RUNNING
from tests.web.conftest import BASE, Floor, Line


def test_home_names_procedures_meters_and_records(floor: Floor) -> None:
    """What can be started, what is open, what was recorded."""
    session = floor.start()
    home = floor.client.get("/api/home").json()
    lamp = {"name": "lamp", "title": "lamp is dark", "summary": "Finds why a lamp is dark.", "kind": "find"}
    assert lamp in home["offers"]
    kinds = [one["kind"] for one in home["offers"]]
    assert kinds == sorted(kinds), "surveys come last"
    assert {meter["name"] for meter in home["meters"]} >= {"shop"}
    assert [(row["id"], row["unit"], row["ending"], row["running"]) for row in home["records"]] == [
        (session, "4471", "left", True)
    ]


def test_the_same_request_twice_starts_one_session(floor: Floor) -> None:
    """A double tap, or a request sent again after the line came back."""
    assert floor.start("key-number-1") == floor.start("key-number-1")
    assert floor.start("key-number-2") != floor.start("key-number-1")


def test_leaving_keeps_the_session_and_resuming_goes_on(floor: Floor) -> None:
    """The talk before comes with it, and where it stood is where it goes on."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        line.answer("answer-1", line.standing(1), "next")
        line.fate("answer-1")
        asked = line.standing(2)["ask"]["text"]
        assert floor.post("/api/leave", {"id": session}).json() == {"left": True}
        assert line.until(lambda one: one["kind"] == "over")["ending"] == "left"
    again = floor.post("/api/resume", {"id": session, "key": "key-again"}).json()["id"]
    assert again == session
    with floor.talk(session) as socket:
        line = Line(socket)
        assert line.standing(1)["ask"]["text"] == asked
        assert "next" in line.texts()
        assert any(text.startswith("Welcome back") for text in line.texts())


def test_a_session_that_was_left_is_offered_before_a_new_one_begins(floor: Floor) -> None:
    """Only to a screen that asks, and only for the same unit; a request sent twice opens one session all the same."""
    session = floor.start("key-number-1")
    floor.post("/api/leave", {"id": session})
    asked = {"procedure": "lamp", "unit": "4471", "left": "ask"}
    told = floor.post("/api/start", {**asked, "key": "key-number-2"}).json()["left"]
    assert told["id"] == session
    assert told["text"].startswith("Unit 4471 has a session that was left at the cautions, today at")
    assert told["text"].endswith("Resume it?")
    assert "four four seven one" in told["spoken"]
    assert len(floor.client.get("/api/home").json()["records"]) == 1
    other = floor.post("/api/start", {**asked, "unit": "9", "key": "key-number-3"}).json()["id"]
    assert floor.post("/api/start", {**asked, "unit": "9", "key": "key-number-3"}).json()["id"] == other
    assert floor.start("key-number-4", left="") not in (session, other)


@pytest.mark.parametrize(
    ("fields", "status", "part"),
    [
        ({"procedure": "../../etc/passwd"}, 400, "procedures"),
        ({"procedure": "/etc/passwd"}, 400, "procedures"),
        ({"procedure": ""}, 400, "procedures"),
        ({"meter": "no such meter"}, 400, "meters"),
        ({"air": "hot"}, 409, "not a temperature"),
        ({"unit": "x" * 200}, 400, "'unit'"),
        ({"unit": "a\u0000b"}, 400, "'unit'"),
        ({"unit": 7}, 400, "'unit'"),
        ({"key": "short"}, 400, "key"),
    ],
)
def test_a_start_that_makes_no_sense_is_a_sentence(
    floor: Floor, fields: dict[str, object], status: int, part: str
) -> None:
    """And nothing is recorded."""
    answer = floor.post("/api/start", {"procedure": "lamp", "key": "key-for-this", **fields})
    assert answer.status_code == status
    assert part in answer.json()["error"]
    assert floor.client.get("/api/home").json()["records"] == []


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b'"text"', b"[" * 5000, b"\xff\xfe"])
def test_a_body_that_is_no_object_is_refused(floor: Floor, body: bytes) -> None:
    """With a sentence, whatever it is."""
    headers = {"origin": BASE, "content-type": "application/json"}
    answer = floor.client.post("/api/start", content=body, headers=headers)
    assert answer.status_code == 400
    assert answer.json()["error"]


def test_a_form_is_refused(floor: Floor) -> None:
    """Only JSON: a plain form of another page cannot be sent as that."""
    answer = floor.client.post("/api/start", data={"procedure": "lamp"}, headers={"origin": BASE})
    assert answer.status_code == 415


@pytest.mark.parametrize(
    "name", ["nothing", "..%2f..%2fetc%2fpasswd", "%2e%2e", "a%00b", "x.jsonl", "last", "-", "a" * 100, "C:%5cx"]
)
def test_an_invalid_identity_finds_nothing(floor: Floor, name: str) -> None:
    """Neither a path, nor a short form, nor the newest: 404, or 400 for signs that no name has."""
    floor.start()
    answer = floor.client.get(f"/record/{name}")
    assert answer.status_code in (400, 404)
    assert "passwd" not in answer.text
    resumed = floor.post("/api/resume", {"id": name, "key": "key-resume"})
    assert resumed.status_code in (400, 409)


def test_assets_are_the_files_of_the_package_and_no_others(floor: Floor) -> None:
    """Each is served with its kind; a file that is put beside them later is not."""
    for path in assets():
        if path.suffix != ".html" and path.name != WORKER:
            answer = floor.client.get(f"/assets/{path.name}")
            assert (answer.status_code, answer.content) == (200, path.read_bytes())
    for name in ("..%2frouteS.py", "%2e%2e/routes.py", "home.html", "base.css%00", "nothing.js"):
        assert floor.client.get(f"/assets/{name}").status_code == 404, name


def test_pages_hold_no_inline_script_or_style_and_no_outside_address() -> None:
    """The strict policy would break them, and a shop without internet too."""
    for path in assets():
        if path.suffix == ".png":
            continue
        text = path.read_text(encoding="utf-8")
        bare = text.replace("http://www.w3.org/2000/svg", "")
        assert "http://" not in bare, path.name
        assert "https://" not in bare, path.name
        if path.suffix == ".html":
            assert " style=" not in text, path.name
            assert "<style" not in text, path.name
            assert " on" + "click" not in text, path.name
            assert text.count("<script") == text.count('<script type="module" src="/assets/'), path.name
        if path.suffix == ".js":
            for sink in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function"):
                assert sink not in text, f"{path.name}: {sink}"


def test_a_record_is_shown_as_it_was(floor: Floor) -> None:
    """Head, readings and talk; words that look like markup stay words, and nothing stands inline."""
    session = floor.start(unit="<b>7</b>")
    with floor.talk(session) as socket:
        line = Line(socket)
        for number, words in enumerate(["next", "disc", "whole", "12.6"], 1):
            line.answer(f"answer-{number}", line.standing(number), words)
        line.standing(5)
    answer = floor.client.get(f"/record/{session}")
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    page = answer.text
    assert "<h1>Unit &lt;b&gt;7&lt;/b&gt;</h1>" in page
    assert "<b>7" not in page
    assert '<button id="goon"' in page
    assert re.findall(r'<td class="read short">([^<]*)</td>', page) == ["whole", "12.6 V"]
    verdicts = re.findall(
        r'<td class="v (\w*)">(?:<span class="shape" aria-hidden="true">(.)</span> )?([^<]*)</td>', page
    )
    assert verdicts == [("good", "●", "good"), ("good", "●", "good")]
    assert "Lamp is dark." in page
    assert re.findall(r"</b>“([^”]*)”", page) == ["next", "disc", "whole", "12.6"]
    for word in (" style=", "<style", "onclick"):
        assert word not in page
    assert page.count("<script") == page.count('<script type="module" src="/assets/')


def test_the_number_of_running_sessions_is_limited(floor: Floor) -> None:
    """One more is refused with what to do; after one was set aside it is taken."""
    sessions = [floor.start(f"key-number-{number}") for number in range(MOST_RUNNING)]
    asked = {"procedure": "lamp", "unit": "1", "key": "key-one-too-many"}
    refused = floor.post("/api/start", asked)
    assert refused.status_code == 409
    assert "Set one aside" in refused.json()["error"]
    floor.post("/api/leave", {"id": sessions[0]})
    assert floor.post("/api/start", asked).status_code == 200


def test_a_session_that_another_program_writes_is_not_taken(floor: Floor, tmp_path: Path) -> None:
    """The record's own lock decides."""
    from assistant.clock import SystemClock
    from assistant.composition import new_session

    work = new_session("lamp", tmp_path / "records", SystemClock(), unit="1")
    try:
        answer = floor.post("/api/resume", {"id": work.header.session_id, "key": "key-resume"})
        assert answer.status_code == 409
        assert answer.json()["error"]
    finally:
        work.journal.close()
