"""Pairing: the code lets in, expires, and locks after misses; a token outlives the server and ends in its time."""

from __future__ import annotations

import stat
import sys
from pathlib import Path

import pytest

from assistant.errors import OperatorError
from assistant.web.access.limits import address_key
from assistant.web.access.pairing import CODE_SECONDS, LOCK_SECONDS, MISSES, MOST_ADDRESSES, Entry, Pairing
from assistant.web.access.tokens import MOST_REVOKED, RENEW_SECONDS, TOKEN_SECONDS, Tokens


class Time:
    """Seconds that pass only when told to."""

    def __init__(self) -> None:
        self.at = 50.0

    def __call__(self) -> float:
        return self.at


def made() -> tuple[Pairing, Time, list[str]]:
    time = Time()
    shown: list[str] = []
    codes = iter(["11112222", "33334444", "55556666", "77778888"])
    return Pairing(lambda code, _: shown.append(code), time, lambda: next(codes)), time, shown


def test_the_code_is_shown_and_lets_in() -> None:
    """Spaces and dashes do not matter; the token is good and another is not."""
    pairing, _, shown = made()
    assert shown == ["11112222"]
    entry, token = pairing.try_code("1111 22-22")
    assert entry is Entry.LET_IN
    assert pairing.is_paired(token)
    assert not pairing.is_paired(token[:-1] + "?")
    assert not pairing.is_paired("")
    assert token not in repr(pairing.__dict__)


def test_a_wrong_code_is_refused() -> None:
    """Neither a near one, nor none, nor signs outside ASCII."""
    pairing, _, _ = made()
    for typed in ("11112223", "", "1111222", "\u0661\u0661\u0661\u0661\u0662\u0662\u0662\u0662"):
        assert pairing.try_code(typed) == (Entry.WRONG, "")


def test_misses_lock_their_own_address_and_no_other() -> None:
    """Even for the right code, for as long as it says; everybody else pairs meanwhile, and no new code is shown."""
    pairing, time, shown = made()
    results = [pairing.try_code("00000000", "192.0.2.9")[0] for _ in range(MISSES + 2)]
    assert results == [Entry.WRONG] * (MISSES - 1) + [Entry.LOCKED] * 3
    assert pairing.try_code("11112222", "192.0.2.9")[0] is Entry.LOCKED
    assert shown == ["11112222"]
    assert pairing.try_code("11112222", "192.0.2.10")[0] is Entry.LET_IN
    time.at += LOCK_SECONDS - 1
    assert pairing.try_code("33334444", "192.0.2.9")[0] is Entry.LOCKED
    time.at += 1
    assert pairing.try_code("33334444", "192.0.2.9")[0] is Entry.LET_IN


def test_wrong_codes_during_a_lock_do_not_lengthen_it() -> None:
    """Or a stranger on the same machine would lock its owner out for ever."""
    pairing, time, _ = made()
    for _ in range(MISSES):
        pairing.try_code("00000000")
    for _ in range(10):
        time.at += LOCK_SECONDS / 10
        result = pairing.try_code("11112222")[0]
    assert result is Entry.LET_IN


def test_somebody_at_the_terminal_ends_every_lock() -> None:
    """With a new code; the old one is worth nothing from then on."""
    pairing, _, shown = made()
    for _ in range(MISSES):
        pairing.try_code("00000000")
    pairing.show_new_code()
    assert shown == ["11112222", "33334444"]
    assert pairing.try_code("11112222")[0] is Entry.WRONG
    assert pairing.try_code("33334444")[0] is Entry.LET_IN


def test_a_code_and_its_link_let_in_one_screen() -> None:
    """Whichever is used first; the link also where wrong codes locked its address."""
    secrets: list[str] = []
    pairing = Pairing(lambda _, secret: secrets.append(secret), Time())
    code = pairing.code
    assert pairing.try_code(code)[0] is Entry.LET_IN
    assert pairing.try_code(code)[0] is Entry.WRONG
    assert pairing.try_code(secrets[0])[0] is Entry.WRONG
    code = pairing.code
    for _ in range(MISSES):
        pairing.try_code("x")
    assert pairing.try_code(code)[0] is Entry.LOCKED
    assert pairing.try_code(secrets[1])[0] is Entry.LET_IN
    assert pairing.try_code(secrets[1])[0] is Entry.WRONG
    assert pairing.try_code(code)[0] is Entry.WRONG
    assert len(secrets) == 3


def test_addresses_with_wrong_codes_are_not_remembered_without_end() -> None:
    """The oldest are forgotten; one network of IPv6 is one address (its first 64 bits, RFC 4291, 2.5.1)."""
    pairing, _, _ = made()
    for number in range(MOST_ADDRESSES + 10):
        pairing.try_code("x", str(number))
    assert len(pairing._misses) == MOST_ADDRESSES
    assert address_key("2001:db8:1:2:3:4:5:6") == address_key("2001:db8:1:2::1") == "2001:db8:1:2::/64"
    assert address_key("2001:db8:1:3::1") != address_key("2001:db8:1:2::1")
    assert address_key("::ffff:192.0.2.1") == address_key("192.0.2.1") == "192.0.2.1"
    assert address_key("fe80::1%eth0") == "fe80::/64"


def test_a_right_code_forgives_earlier_misses() -> None:
    """People mistype; the count begins anew once somebody was let in."""
    pairing, _, shown = made()
    for _ in range(3):
        for _ in range(MISSES - 1):
            pairing.try_code("00000000")
        assert pairing.try_code(shown[-1])[0] is Entry.LET_IN


def test_a_fresh_token_is_of_the_same_screen_and_goes_with_it() -> None:
    """Letting a screen go ends every token that it ever had, and tells its open lines at once."""
    time = Time()
    pairing = Pairing(lambda *_: None, time, lambda: "1", Tokens(wall=time))
    old, other = pairing.try_code("1")[1], pairing.try_code("1")[1]
    told: list[str] = []
    pairing.watch(pairing.device(old), lambda: told.append("its own"))
    leave = pairing.watch(pairing.device(old), lambda: told.append("closed before"))
    pairing.watch(pairing.device(other), lambda: told.append("another's"))
    leave()
    time.at += RENEW_SECONDS
    fresh = pairing.renewed(old)
    device = pairing.device(old)
    assert pairing.device(fresh) == device
    pairing.forget(fresh)
    assert not pairing.is_paired(old)
    assert pairing.is_paired(other)
    assert told == ["its own"]
    pairing.watch(device, lambda: told.append("came late"))
    assert told[-1] == "came late"


def test_a_code_expires_at_its_second() -> None:
    """Just before it is good, at its end it is not, and a new one is shown."""
    pairing, time, shown = made()
    time.at += CODE_SECONDS - 0.001
    assert pairing.try_code("11112222")[0] is Entry.LET_IN
    time.at += CODE_SECONDS
    assert pairing.try_code("33334444")[0] is Entry.EXPIRED
    assert shown == ["11112222", "33334444", "55556666"]
    assert pairing.code == "55556666"


def test_a_token_ends_when_it_is_not_used_and_can_be_revoke() -> None:
    """Each use begins its time anew."""
    time = Time()
    pairing = Pairing(lambda *_: None, time, lambda: "1", Tokens(wall=time))
    token = pairing.try_code("1")[1]
    assert pairing.renewed(token) == ""
    time.at += RENEW_SECONDS
    fresh = pairing.renewed(token)
    assert fresh not in ("", token)
    time.at += TOKEN_SECONDS - RENEW_SECONDS - 1
    assert pairing.is_paired(token)
    time.at += 1
    assert not pairing.is_paired(token)
    assert pairing.renewed(token) == ""
    assert pairing.is_paired(fresh)
    pairing.forget(fresh)
    assert not pairing.is_paired(fresh)


def test_a_screen_stays_paired_over_a_restart_within_its_time(tmp_path: Path) -> None:
    """The key is private to its owner; what was let go stays so, and a token still ends when its time is over."""
    time, path = Time(), tmp_path / "page" / "pairing.json"
    first = Pairing(lambda *_: None, time, lambda: "1", Tokens(path, time))
    kept, gone = first.try_code("1")[1], first.try_code("1")[1]
    first.forget(gone)
    time.at += 3600
    again = Pairing(lambda *_: None, time, lambda: "2", Tokens(path, time))
    assert again.is_paired(kept)
    assert not again.is_paired(gone)
    assert again.try_code("1")[0] is Entry.WRONG
    time.at += TOKEN_SECONDS
    assert not Pairing(lambda *_: None, time, tokens=Tokens(path, time)).is_paired(kept)
    if sys.platform != "win32":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    assert kept not in path.read_text(encoding="ascii")
    assert [one.name for one in path.parent.iterdir()] == ["pairing.json"]


def test_a_token_that_was_changed_or_made_elsewhere_is_none() -> None:
    """Neither its time, nor its mark, nor one under another key, nor one from the future."""
    time = Time()
    tokens = Tokens(wall=time)
    token = tokens.make()
    name, made, mark = token.split(".")
    later = Tokens(wall=lambda: time.at + 600).make().split(".")[1]
    swapped = {"A": "B"}.get(mark[0], "A") + mark[1:]
    for other in (
        f"{name}.{later}.{mark}", f"{name}x.{made}.{mark}", f"{name}.{made}.{swapped}", f"{name}.{made}.",
        f".{made}.{mark}", f"{name}.{mark}", "", ".", "..", "x" * 4000, f"\u0661.{made}.{mark}",
        f"{name}.\u0661.{mark}", Tokens(wall=time).make(),
    ):  # fmt: skip
        assert tokens.age(other) is None, other
    assert tokens.age(token) == 0.0
    time.at -= 3600
    assert tokens.age(token) is None


def test_a_revoked_token_is_worth_nothing_however_it_is_written() -> None:
    """43 letters of base64 hold two bits more than 32 bytes: the last letter has four spellings (RFC 4648, 3.5)."""
    tokens = Tokens()
    token = tokens.make()
    tokens.revoke(token)
    for last in "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_":
        assert tokens.age(token[:-1] + last) is None


def test_a_new_key_lets_every_screen_go(tmp_path: Path) -> None:
    """When asked for, when the file is damaged, and when others could have read it."""
    path = tmp_path / "pairing.json"
    tokens = Tokens(path)
    token = tokens.make()
    tokens.start_anew()
    assert tokens.age(token) is None
    token = tokens.make()
    assert Tokens(path).age(token) is not None
    path.write_text('{"key": "00"}', encoding="ascii")
    assert Tokens(path).age(token) is None
    if sys.platform != "win32":
        token = Tokens(path).make()
        path.chmod(0o640)
        assert Tokens(path).age(token) is None
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_what_was_let_go_does_not_grow_for_ever(tmp_path: Path) -> None:
    """It is forgotten when it would have ended; too much of it at once makes a new key."""
    time = Time()
    tokens = Tokens(tmp_path / "pairing.json", time)
    tokens.revoke(tokens.make())
    time.at += TOKEN_SECONDS + 1
    tokens.revoke(tokens.make())
    assert len(tokens._revoked) == 1
    tokens._revoked = dict.fromkeys(map(str, range(MOST_REVOKED)), time.at + 60)
    kept, other = tokens.make(), tokens.make()
    tokens.revoke(other)
    assert tokens.age(kept) is None
    assert tokens._revoked == {}


def test_a_folder_that_cannot_be_written_is_a_sentence(tmp_path: Path) -> None:
    """Before anything is served."""
    (tmp_path / "file").write_text("", encoding="ascii")
    with pytest.raises(OperatorError, match="Make the folder writable"):
        Tokens(tmp_path / "file" / "pairing.json")


def test_codes_have_eight_digits_and_differ() -> None:
    """The real maker of codes."""
    codes: list[str] = []
    for _ in range(20):
        Pairing(lambda code, _: codes.append(code))
    assert all(len(code) == 8 and code.isdigit() for code in codes)
    assert len(set(codes)) > 15
