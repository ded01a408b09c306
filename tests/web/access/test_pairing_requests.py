"""What a browser asks about pairing: who is let in, who is let go, and who is told how one more screen comes in."""

from __future__ import annotations

from dataclasses import replace

from starlette.testclient import TestClient

from assistant.web.access.pairing_picture import pairing_link
from assistant.web.routes import make_app
from tests.web.conftest import BASE, CODE, Floor, FloorMaker


def test_without_pairing_every_code_is_good_and_no_screen_is_let_go(make_floor: FloorMaker) -> None:
    """On this machine alone, where it was asked for: a page that still asks for a code comes on."""
    floor = make_floor(pairing=False)
    assert floor.post("/api/pair", {"code": "0"}).json() == {"paired": True}
    assert floor.post("/api/unpair", {}).json() == {"paired": False}
    assert floor.client.get("/api/home").status_code == 200


def test_a_wrong_code_is_told_in_a_sentence_and_lets_nobody_in(make_floor: FloorMaker) -> None:
    floor = make_floor()
    refused = floor.post("/api/pair", {"code": "00000000"})
    assert refused.status_code >= 400
    assert refused.json()["error"].endswith(".")
    assert "set-cookie" not in refused.headers
    assert floor.client.get("/api/home").status_code in (401, 403)


def test_unpairing_lets_this_screen_go_and_forgets_its_cookie(floor: Floor) -> None:
    assert floor.client.get("/api/home").status_code == 200
    cookies = dict(floor.client.cookies)
    gone = floor.post("/api/unpair", {})
    assert gone.json() == {"paired": False}
    assert "Max-Age=0" in gone.headers["set-cookie"]
    floor.client.cookies.update(cookies)
    assert floor.client.get("/api/home").status_code in (401, 403), "the token itself is worth nothing any more"


def test_one_more_screen_is_offered_only_where_it_could_reach_the_page(floor: Floor) -> None:
    told = floor.client.get("/api/pairing")
    assert (told.status_code, "leadsman serve --host 0.0.0.0" in told.json()["error"]) == (409, True)


def test_one_more_screen_gets_the_code_and_a_picture_of_its_link(make_floor: FloorMaker) -> None:
    """Only a paired screen is told, and the link carries a secret and no code."""
    made = make_floor()
    link = "https://192.0.2.17:8421"
    with TestClient(make_app(replace(made.house, link=link)), base_url=BASE) as client:
        assert client.get("/api/pairing").status_code in (401, 403)
        assert client.post("/api/pair", json={"code": CODE}, headers={"origin": BASE}).status_code == 200
        told = client.get("/api/pairing").json()
    pairing = made.house.pairing
    assert pairing is not None
    code, secret = pairing.offered()
    assert (told["code"], told["minutes"]) == (code, 15)
    assert told["size"] >= 21, "a QR code has at least 21 modules a side (ISO/IEC 18004)"
    assert told["path"].startswith("M")
    assert code not in pairing_link(link, secret)
