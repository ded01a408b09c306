"""Rates: steady in the long run, a brim at once, one bucket for each address."""

from __future__ import annotations

from assistant.web.access.limits import Bucket, Buckets


def test_a_bucket_gives_its_brim_and_then_its_rate() -> None:
    """Nothing is taken by an asking that is refused."""
    at = [0.0]
    bucket = Bucket(2.0, 5.0, lambda: at[0])
    assert [bucket.take() for _ in range(6)] == [True] * 5 + [False]
    at[0] = 0.5
    assert bucket.take()
    assert not bucket.take()
    at[0] = 100.0
    assert not bucket.take(6)
    assert bucket.take(5)


def test_addresses_do_not_share_and_are_not_remembered_for_ever() -> None:
    """One that floods takes nothing from the others."""
    at = [0.0]
    buckets = Buckets(1.0, 1.0, most=2, clock=lambda: at[0])
    assert buckets.take("a")
    assert not buckets.take("a")
    assert buckets.take("b")
    assert buckets.take("c")
    assert buckets.take("a")
