"""Photos: what is none is refused with a sentence, one is kept without what the camera wrote beside the pixels."""

from __future__ import annotations

import contextlib
import io
import os
import stat
import struct
import sys
import zipfile
import zlib
from collections.abc import Iterator
from concurrent.futures import Future
from pathlib import Path

import pytest
from PIL import Image, ImageFile

from assistant.__main__ import main
from assistant.messages import PhotoTaken, check_prompt
from assistant.messages.decisions import PhotoErased, PhotoKept
from assistant.records.journal.verify import verify
from assistant.records.store.folder import FolderStore
from assistant.records.store.handover import hand_over
from assistant.records.store.postgresql import open_database
from assistant.web.access.middleware import LARGEST_BODY, LARGEST_PHOTO
from assistant.web.photo_cleaning import MOST_BYTES, SIDE, NoPhotoError, clean
from tests.records.cluster import Cluster, private_cluster
from tests.records.samples import session_in
from tests.web.conftest import BASE, Floor, FloorMaker, Line

NAME = "0123456789abcdef01234567"
SECRET = b"GPS 41.0 N, owner Pat Example"


def photo(width: int = 900, height: int = 600, kind: str = "JPEG", **options: object) -> bytes:
    """A photo with edges in it, and with what a camera writes beside the pixels."""
    made = Image.linear_gradient("L").resize((width, height)).convert("RGB")
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010E] = SECRET.decode()
    exif.get_ifd(0x8825)[2] = (41.0, 30.0, 0.0)
    file = io.BytesIO()
    made.save(file, kind, exif=exif, **options)
    return file.getvalue()


def bomb(width: int, height: int) -> bytes:
    """A PNG of a few hundred bytes that says it has so many pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 4000))
        + chunk(b"IEND", b"")
    )


def zipped() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as made:
        made.writestr("index.html", "<script>boom()</script>")
    return file.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_pixels_are_kept_and_nothing_beside_them(kind: str) -> None:
    """Turned upright by what the camera wrote, then that is gone; no longer than needed on a page."""
    kept = clean(photo(3000, 2000, kind, **({"comment": SECRET} if kind == "JPEG" else {})))
    assert SECRET not in kept.content
    with Image.open(io.BytesIO(kept.content)) as seen:
        assert seen.format == "JPEG"
        assert seen.size == (kept.width, kept.height) == (round(SIDE * 2 / 3), SIDE)
        assert not seen.getexif()
        assert set(seen.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_a_second_file_behind_the_picture_is_gone() -> None:
    """A picture that is an archive, a page or a script at the same time is a picture alone afterwards."""
    kept = clean(photo() + zipped() + b"<script>boom()</script>").content
    assert b"boom" not in kept
    assert not zipfile.is_zipfile(io.BytesIO(kept))
    assert kept.endswith(b"\xff\xd9")


SVG = b"<svg xmlns='http://www.w3.org/2000/svg' onload='boom()'><script>boom()</script></svg>"
HOSTILE = {
    "nothing": b"", "words": b"no photo", "a page": b"<!doctype html><script>boom()</script>", "SVG": SVG,
    "an archive": zipped(), "a PDF": b"%PDF-1.7\n1 0 obj\n", "GIF": b"GIF89a" + b"\1\0\1\0\0\0\0;",
    "cut off": photo()[:3000], "only a head": photo()[:12], "torn inside": photo()[:700] + b"\0" * 900,
    "a bomb": bomb(60_000, 60_000), "a long bomb": bomb(2**31 - 1, 1), "fewer pixels than told": bomb(3000, 3000),
    "too many bytes": photo() + b"\0" * MOST_BYTES,
}  # fmt: skip


def test_half_a_photo_is_none_whatever_another_library_allows(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library that makes PDFs lets every picture of the process break off."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(NoPhotoError):
        clean(HOSTILE["cut off"])
    assert ImageFile.LOAD_TRUNCATED_IMAGES


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_photo_is_refused_with_a_sentence(name: str) -> None:
    with pytest.raises(NoPhotoError) as caught:
        clean(HOSTILE[name])
    assert str(caught.value).endswith(".")


def send(
    floor: Floor, session: str, content: bytes, name: str = NAME, turn: int = 1, **asked: str
) -> tuple[int, str]:
    """Send a photo; status and what was told."""
    params = {"key": name, "turn": str(turn), **asked}
    answer = floor.client.post(f"/api/photo/{session}", params=params, content=content, headers={"origin": BASE})
    return answer.status_code, str(answer.json().get("error", ""))


def kinds(records: Path, session: str) -> list[str]:
    return [one.kind for _, entry in session_in(records, session).entries() for one in entry.decisions]


def test_a_photo_is_logged_once_shown_with_the_record_and_erased(floor: Floor) -> None:
    """It is private, it is of what was asked, and the record says that there was one."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        for number, words in enumerate(["next", "disc", "whole"], 1):
            line.answer(f"answer-{number}", line.standing(number), words)
        line.standing(4)
        assert send(floor, session, photo(), turn=4) == (200, "")
        assert send(floor, session, photo(), turn=4) == (200, "")
        shown = line.until(lambda one: one["kind"] == "standing" and one["photos"])
        assert shown["turn"] == 4, "the question stays"
        assert shown["photos"] == [{"name": NAME, "of": "Volts at the lamp, left"}]
        line.answer("answer-4", shown, "12.6")
        line.standing(5)
        assert send(floor, session, photo(), "f" * 24, turn=5, reading="2") == (200, "")
        line.until(lambda one: one["kind"] == "standing" and len(one["photos"]) == 2)
    facts = [entry.fact for _, entry in session_in(floor.records, session).entries()]
    taken = [one.photo for one in facts if isinstance(one, PhotoTaken)]
    assert [(one.name, one.prompt, one.observation) for one in taken] == [
        (NAME, check_prompt("volts", "left"), None), ("f" * 24, check_prompt("volts", "left"), 2)
    ]  # fmt: skip
    folder = floor.records / "private" / session / "photos"
    if sys.platform != "win32":
        assert {stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()} == {0o600}
    page = floor.client.get(f"/record/{session}").text
    assert f'<img src="/record/{session}/photo/{NAME}"' in page
    picture = floor.client.get(f"/record/{session}/photo/{NAME}")
    assert picture.headers["content-type"] == "image/jpeg"
    assert SECRET not in picture.content
    assert floor.post("/api/erase-photo", {"id": session, "name": NAME}).status_code == 200
    assert kinds(floor.records, session).count("photo_kept") == 2
    assert kinds(floor.records, session).count("photo_erased") == 1
    assert floor.client.get(f"/record/{session}/photo/{NAME}").status_code == 404
    assert "Picture erased" in floor.client.get(f"/record/{session}").text
    assert not (folder / f"{NAME}.jpg").exists()
    assert floor.post("/api/erase-photo", {"id": session, "name": "e" * 24}).status_code == 404
    assert verify(session_in(floor.records, session)).whole


@pytest.mark.parametrize("name", ["SVG", "a bomb", "cut off", "nothing", "GIF"])
def test_a_hostile_file_changes_nothing_that_was_recorded(floor: Floor, name: str) -> None:
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        line.answer("answer-1", line.standing(1), "next")
        standing = line.standing(2)
        status, told = send(floor, session, HOSTILE[name], turn=2)
        assert (status, told.endswith(".")) == (415, True)
        line.answer("answer-2", standing, "disc")
        assert line.fate("answer-2")["fate"] == "taken"
        line.standing(3)
    assert "photo_kept" not in kinds(floor.records, session)
    assert not (floor.records / "private" / session / "photos").exists()


def test_who_may_send_and_how_much(make_floor: FloorMaker) -> None:
    """A stranger's body may be as large as ever, which is small; nobody's is larger than a photo's."""
    floor = make_floor()
    assert send(floor, "20260302-080000-aaa", b"\0" * (LARGEST_BODY + 1))[0] == 413
    assert send(floor, "20260302-080000-aaa", photo())[0] in (401, 413)
    floor.pair()
    session = floor.start()
    assert send(floor, session, b"\0" * (LARGEST_PHOTO + 1))[0] == 413
    lies = floor.client.post(
        f"/api/photo/{session}", params={"key": NAME, "turn": "1"}, headers={"origin": BASE},
        content=iter([b"\0" * 5_000_000] * 3),
    )  # fmt: skip
    assert lies.status_code == 413
    elsewhere = floor.client.post(
        f"/api/photo/{session}",
        params={"key": NAME, "turn": "1"},
        content=photo(),
        headers={"origin": "https://x.example"},
    )
    assert elsewhere.status_code == 403
    for asked in ({"key": "../../x"}, {"key": "a" * 200}, {"turn": "99"}, {"reading": "7"}):
        assert send(floor, session, photo(), **{"name": asked.pop("key", NAME), **asked})[0] in (400, 409)  # type: ignore[arg-type]
    assert send(floor, "20260302-080000-aaa", photo())[0] == 409
    assert send(floor, session, photo()) == (200, "")


def test_too_many_photos_at_once_have_to_wait(make_floor: FloorMaker) -> None:
    """Each counts as twenty requests."""
    floor = make_floor()
    floor.pair()
    session = floor.start()
    told = [send(floor, session, b"no photo", f"{number:024x}")[0] for number in range(12)]
    assert 429 in told


def test_forget_takes_them_and_the_report_tells_it(floor: Floor, capsys: pytest.CaptureFixture[str]) -> None:
    """As pages of their own and as text; what was said of them stays in the chain."""
    session = floor.start()
    with floor.talk(session) as socket:
        Line(socket).standing(1)
        assert send(floor, session, photo()) == (200, "")
        floor.post("/api/leave", {"id": session})
    place = ["--records", str(floor.records)]

    def run(*arguments: str) -> str:
        capsys.readouterr()
        with contextlib.suppress(SystemExit):
            main([*arguments, session, *place])
        return capsys.readouterr().out

    assert 'src="data:image/jpeg;base64,' in run("report")
    assert "photo kept" in run("show").lower()
    assert run("forget", "--photos") == f"Erased of session {session}: 1 photo.\n"
    assert "Picture erased" in run("report")
    assert verify(session_in(floor.records, session)).whole


def test_a_picture_that_is_not_the_one_that_was_logged_is_told_and_not_shown(floor: Floor) -> None:
    """The chain has its sum: whoever can write into the folder puts no evidence into a record."""
    session = floor.start()
    with floor.talk(session) as socket:
        Line(socket).standing(1)
        assert send(floor, session, photo()) == (200, "")
    path = floor.records / "private" / session / "photos" / f"{NAME}.jpg"
    assert f"/photo/{NAME}" in floor.client.get(f"/record/{session}").text
    path.write_bytes(clean(photo(300, 200)).content)
    page = floor.client.get(f"/record/{session}").text
    assert f"/photo/{NAME}" not in page
    assert "Picture changed since it was logged: not shown" in page


def test_a_photo_survives_that_the_session_is_taken_up_again(floor: Floor) -> None:
    session = floor.start()
    with floor.talk(session) as socket:
        Line(socket).standing(1)
        assert send(floor, session, photo()) == (200, "")
        floor.post("/api/leave", {"id": session})
    assert floor.post("/api/resume", {"id": session, "key": "key-resume-1"}).status_code == 200
    with floor.talk(session) as socket:
        standing = Line(socket).standing(1)
    assert [one["name"] for one in standing["photos"]] == [NAME]
    assert send(floor, session, photo()) == (200, ""), "the same one again is known"
    assert kinds(floor.records, session).count("photo_kept") == 1


def test_an_entry_that_cannot_be_written_is_told(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    """The picture waits with its entry, which the next words write."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        standing = line.standing(1)
        fails = {"yes": True}
        real = os.fsync

        def full(handle: int) -> None:
            if fails["yes"] and Path(f"/proc/self/fd/{handle}").readlink().suffix == ".jsonl":
                raise OSError(28, "No space left on device")
            real(handle)

        monkeypatch.setattr(os, "fsync", full)
        status, told = send(floor, session, photo())
        assert (status, told) == (
            409,
            "The record cannot be written just now. The photo is logged with the next entry.",
        )
        fails["yes"] = False
        line.until(lambda one: one["kind"] == "standing" and one["mode"] == "unwritten")
        line.answer("answer-1", {**standing, **line.seen[-1]}, "next")
        line.until(lambda one: one["kind"] == "standing" and one["photos"])
    assert kinds(floor.records, session).count("photo_kept") == 1
    assert floor.client.get(f"/record/{session}/photo/{NAME}").status_code == 200


def test_a_photo_of_what_is_gone_is_refused_with_what_to_do(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of it is kept, and the session's own question stays."""
    session = floor.start()
    refused = [
        send(floor, "20260101-000000-abc", photo()),
        send(floor, session, photo(), "not-a-name"),
        send(floor, session, photo(), reading="7"),
        send(floor, session, photo(), turn=99),
    ]
    assert refused == [
        (409, "This session is not open here, so no photo is taken into it."),
        (400, "The photo has no name of its own."),
        (409, "There is no such reading any more. Take the photo of what is asked."),
        (409, "The question that the photo was taken at is not known any more. Take it again."),
    ]
    assert floor.post("/api/erase-photo", {"id": session, "name": "../x"}).status_code == 400
    monkeypatch.setattr("assistant.web.photos.MOST_PHOTOS", 1)
    assert send(floor, session, photo()) == (200, "")
    assert send(floor, session, photo(), "f" * 24) == (409, "This session has 1 photos; no more are taken.")
    assert send(floor, session, photo()) == (200, ""), "the one that is kept may be sent again"
    assert kinds(floor.records, session).count("photo_kept") == 1


@pytest.mark.parametrize(
    ("answers", "told"),
    [
        (False, (503, "The session is busy and did not answer in time. Look at its photos.")),
        (True, (409, "The session was closed before the photo was logged, so it is not kept.")),
    ],
)
def test_a_session_that_is_busy_or_just_closed_does_not_take_it(
    floor: Floor, monkeypatch: pytest.MonkeyPatch, told: tuple[int, str], *, answers: bool
) -> None:
    """In the second case the picture is erased again: there is no entry that it belongs to."""
    session = floor.start()
    worker = floor.house.workers.find(session)
    assert worker is not None
    future: Future[None] = Future()
    if answers:
        future.set_result(None)
    with monkeypatch.context() as patch:
        patch.setattr("assistant.web.photos.HANDLED_SECONDS", 0.0 if not answers else 20.0)
        patch.setattr(worker.listener, "bring", lambda _: future)
        assert send(floor, session, photo()) == told
    assert kinds(floor.records, session).count("photo_kept") == 0
    folder = floor.records / "private" / session / "photos"
    assert bool(list(folder.glob("*"))) != answers, "what may still be logged is kept"


@pytest.fixture(scope="module")
def cluster() -> Iterator[Cluster]:
    """A PostgreSQL server of our own."""
    yield from private_cluster()


@pytest.mark.postgresql
def test_photos_go_with_a_handover_and_are_seen_from_every_machine(
    floor: Floor, make_floor: FloorMaker, cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = floor.start()
    with floor.talk(session) as socket:
        Line(socket).standing(1)
        assert send(floor, session, photo()) == (200, "")
        floor.post("/api/leave", {"id": session})
    monkeypatch.setenv("LEADSMAN_DATABASE", cluster.address)
    shared = open_database(tmp_path / "shared")
    for _ in range(2):
        assert [one.problem for one in hand_over(FolderStore(floor.records), shared)] == [""]
    other = open_database(tmp_path / "another machine")
    desk = make_floor(store=other)
    desk.pair()
    assert f"/record/{session}/photo/{NAME}" in desk.client.get(f"/record/{session}").text
    assert desk.client.get(f"/record/{session}/photo/{NAME}").status_code == 200
    assert other.erase(session, sound=True, names=True, photos=True) == ["1 photo"]
    assert shared.photo(session, NAME) is None
    assert verify(session_in(floor.records, session)).whole
    for store in (shared, other):
        store.engine.dispose()


def test_every_decision_about_a_photo_is_told_in_words() -> None:
    from assistant.records.summary.decided import decided
    from assistant.records.summary.labels import titles_of
    from tests.records.samples import PHOTO, header

    titles = titles_of(header())
    assert decided(PhotoKept(PHOTO), titles, None) == "photo kept: resistance at the sensor, left rear"
    assert decided(PhotoErased(PHOTO.name), titles, None) == "photo erased"
