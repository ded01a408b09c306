"""Pairing: the code lets in, expires, and locks after misses; only hashes of tokens are kept."""

from __future__ import annotations

from assistant.page.pairing import (
    CODE_SECONDS,
    LOCK_SECONDS,
    MISSES,
    MOST_TOKENS,
    TOKEN_SECONDS,
    Entry,
    Pairing,
)


class Time:
    """Seconds that pass only when told to."""

    def __init__(self) -> None:
        self.at = 50.0

    def __call__(self) -> float:
        return self.at


def made() -> tuple[Pairing, Time, list[str]]:
    time, shown = Time(), []
    codes = iter(["11112222", "33334444", "55556666", "77778888"])
    return Pairing(shown.append, time, lambda: next(codes)), time, shown


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


def test_misses_lock_even_the_right_code_and_make_a_new_one() -> None:
    """After the lock the old code is worth nothing."""
    pairing, time, shown = made()
    results = [pairing.try_code("00000000")[0] for _ in range(MISSES)]
    assert results == [Entry.WRONG] * (MISSES - 1) + [Entry.LOCKED]
    assert shown[-1] == "33334444"
    assert pairing.try_code("33334444")[0] is Entry.LOCKED
    time.at += LOCK_SECONDS
    assert pairing.try_code("11112222")[0] is Entry.WRONG
    assert pairing.try_code("33334444")[0] is Entry.LET_IN


def test_a_right_code_forgives_earlier_misses() -> None:
    """People mistype; the count begins anew once somebody was let in."""
    pairing, _, _ = made()
    for _ in range(3):
        for _ in range(MISSES - 1):
            pairing.try_code("00000000")
        assert pairing.try_code("11112222")[0] is Entry.LET_IN


def test_a_code_expires_at_its_second() -> None:
    """Just before it is good, at its end it is not, and a new one is shown."""
    pairing, time, shown = made()
    time.at += CODE_SECONDS - 0.001
    assert pairing.try_code("11112222")[0] is Entry.LET_IN
    time.at += 0.001
    assert pairing.try_code("11112222")[0] is Entry.EXPIRED
    assert shown[-1] == "33334444"
    assert pairing.code == "33334444"


def test_a_token_ends_when_it_is_not_used_and_can_be_let_go() -> None:
    """Each use begins its time anew."""
    pairing, time, _ = made()
    token = pairing.try_code("11112222")[1]
    time.at += TOKEN_SECONDS - 1
    assert pairing.is_paired(token)
    time.at += TOKEN_SECONDS - 1
    assert pairing.is_paired(token)
    time.at += TOKEN_SECONDS
    assert not pairing.is_paired(token)
    fresh = Pairing(lambda _: None, time, lambda: "1")
    other = fresh.try_code("1")[1]
    fresh.forget(other)
    assert not fresh.is_paired(other)


def test_only_so_many_screens_are_remembered() -> None:
    """The one not seen for longest goes."""
    time = Time()
    pairing = Pairing(lambda _: None, time, lambda: "1")
    tokens = []
    for _ in range(MOST_TOKENS + 1):
        time.at += 1
        tokens.append(pairing.try_code("1")[1])
    assert not pairing.is_paired(tokens[0])
    assert all(pairing.is_paired(token) for token in tokens[1:])


def test_codes_have_eight_digits_and_differ() -> None:
    """The real maker of codes."""
    codes: list[str] = []
    for _ in range(20):
        Pairing(codes.append)
    assert all(len(code) == 8 and code.isdigit() for code in codes)
    assert len(set(codes)) > 15
