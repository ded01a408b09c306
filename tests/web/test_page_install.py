"""The page on a home screen: manifest, own icon, a page of ours when the machine is away, pairing by camera.

The QR code is read by ZXing's C++ port, which shares nothing with segno, which makes it.
"""

from __future__ import annotations

import io
import json
import re

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from assistant.web.access.pairing_picture import as_text, pairing_link
from assistant.web.pages import ASSETS
from tests.tools.drawing import draw_icons
from tests.web.conftest import Floor, FloorMaker

WAY_IN = "abcdefghij-klmnopqr_stu"
_LIGHT = {" ": (0, 0), "\N{UPPER HALF BLOCK}": (1, 0), "\N{LOWER HALF BLOCK}": (0, 1), "\N{FULL BLOCK}": (1, 1)}


def read(light: np.ndarray, scale: int = 8) -> str:
    """What a camera reads; 1 where it is light."""
    picture = (np.kron(light, np.ones((scale, scale))) * 255).astype(np.uint8)
    found = zxingcpp.read_barcodes(picture)
    assert len(found) == 1
    return str(found[0].text)


@pytest.mark.parametrize(
    "base", ["https://192.168.17.203:8421", "https://[2001:db8::17]:8421", "https://bay-3.local:1"]
)
def test_a_camera_reads_the_link_off_the_terminal(base: str) -> None:
    """The letters as a dark terminal shows them."""
    link = pairing_link(base, WAY_IN)
    rows = as_text(link).split("\n")
    assert max(map(len, rows)) <= 60, "it fits a terminal of 80 columns"
    light = np.array([[_LIGHT[sign][half] for sign in row] for row in rows for half in (0, 1)])
    assert read(light) == f"{base}/pair#{WAY_IN}"


def test_only_a_paired_screen_gets_the_picture_and_only_where_phones_reach_the_page(make_floor: FloorMaker) -> None:
    here: Floor = make_floor()
    assert here.client.get("/api/pairing").status_code == 401
    here.pair()
    refused = here.client.get("/api/pairing")
    assert refused.status_code == 409
    assert "--host 0.0.0.0" in refused.json()["error"]


def test_the_manifest_names_icons_that_are_there_and_of_their_size(make_floor: FloorMaker) -> None:
    """W3C Web Application Manifest; a stranger's browser may fetch it: it says nothing of the shop."""
    client = make_floor().client
    told = client.get("/assets/leadsman.webmanifest")
    assert told.headers["content-type"].startswith("application/manifest+json")
    manifest = json.loads(told.text)
    assert {manifest["start_url"], manifest["scope"], manifest["id"]} == {"/"}
    assert manifest["display"] == "standalone"
    sizes = set()
    for icon in manifest["icons"]:
        answer = client.get(icon["src"])
        assert answer.headers["content-type"] == icon["type"]
        if icon["type"] == "image/png":
            size = Image.open(io.BytesIO(answer.content)).size
            assert icon["sizes"] == f"{size[0]}x{size[1]}"
            sizes.add((size[0], icon["purpose"]))
    assert sizes >= {(192, "any"), (512, "any"), (512, "maskable")}


def test_the_icons_are_as_drawn_and_stand_within_a_mask() -> None:
    assert (ASSETS / "shared" / "mark.svg").read_text(encoding="utf-8") == draw_icons.svg()
    for name, size in draw_icons.SIZES.items():
        kept = np.asarray(Image.open(ASSETS / "shared" / name).convert("RGB"), dtype=int)
        made = np.asarray(Image.open(io.BytesIO(draw_icons.png(size))).convert("RGB"), dtype=int)
        assert np.abs(kept - made).max() <= 8, f"{name}: python -m tests.tools.drawing.draw_icons"
        ground = np.array([int(draw_icons.GROUND[at : at + 2], 16) for at in (1, 3, 5)])
        y, x = np.nonzero(np.abs(made - ground).max(axis=2) > 8)
        away = np.hypot(x - size / 2, y - size / 2).max()
        assert away <= 0.4 * size, "the safe zone of a mask has a radius of two fifths"


def test_the_worker_keeps_only_what_says_that_there_is_no_line(make_floor: FloorMaker) -> None:
    made = make_floor()
    made.pair()
    worker = made.client.get("/worker.js")
    assert worker.headers["content-type"].startswith("text/javascript")
    assert re.search(r"// [0-9a-f]{64}\n$", worker.text), "it changes with every file"
    files = re.search(r"const FILES = \[(.*)\]", worker.text)
    assert files is not None
    assert re.findall(r'"([^"]+)"', files[1]) == ["/assets/base.css", "/assets/offline.js", "/assets/mark.svg"]
