"""The throttle by itself: what counts as one place, what is forgotten, how much is remembered."""

from __future__ import annotations

import threading

import pytest
from behind_door import Clock

from strandwright.web import throttle
from strandwright.web.pairing import GOOD_FOR, Codes
from strandwright.web.sessions import MOST, Sessions
from strandwright.web.throttle import (
    ADDRESS,
    AT_NAME,
    FORGET,
    NAME,
    Rule,
    Throttle,
    place_of,
    sign_in_keys,
)


def test_a_wait_doubles_and_ends_somewhere():
    """Without a wait at first, never longer than the longest, however often it was tried."""
    rule = Rule(3, 2.0, 60.0)
    assert [0, 0, 0, 2, 4, 8, 16, 32, 60, 60] == [rule.wait(n) for n in range(10)]
    assert 60.0 == rule.wait(10**6)


def test_a_name_tried_from_everywhere_keeps_its_owner_waiting_a_minute_at_most():
    """Nobody can lock another out, and one address at one name waits up to a quarter of an hour."""
    assert 60.0 == NAME.wait(10**6)
    assert 900.0 == AT_NAME.wait(10**6) == ADDRESS.wait(10**6)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("10.0.0.1", "10.0.0.1", True),
        ("10.0.0.1", "10.0.0.2", False),
        ("2001:db8:0:1::5", "2001:db8:0:1:ffff::9", True),
        ("2001:db8:0:1::5", "2001:db8:0:2::5", False),
        ("::ffff:10.0.0.1", "10.0.0.1", True),
        ("fe80::1%eth0", "fe80::2%eth1", True),
    ],
)
def test_what_counts_as_one_place(one, other, same):
    """A house has a whole network of IPv6, and one address may be written in two ways."""
    assert same == (place_of(one) == place_of(other))


def test_names_count_alike_however_they_are_typed():
    """Capitals buy no guesses."""
    assert sign_in_keys("Tess ", "10.0.0.1") == sign_in_keys("tess", "10.0.0.1")


def test_many_attempts_at_once_gain_nothing():
    """Each counts before it is looked at: of fifty that come together as many go on as alone."""
    limits, went_on = Throttle(Clock()), list[float]()
    start = threading.Barrier(50)

    def attempt() -> None:
        start.wait()
        went_on.append(limits.attempt(sign_in_keys("tess", "10.0.0.1")))

    threads = [threading.Thread(target=attempt) for _ in range(50)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert AT_NAME.free == went_on.count(0.0)


def test_an_attempt_that_must_wait_is_not_counted():
    """Who knocks all the while waits no longer for it."""
    clock = Clock()
    limits, keys = Throttle(clock), sign_in_keys("tess", "10.0.0.1")
    for _ in range(AT_NAME.free):
        limits.attempt(keys)
    for _ in range(100):
        assert limits.attempt(keys) > 0.0
    clock.now += 2.0
    assert 0.0 == limits.attempt(keys)


def test_what_was_tried_an_hour_ago_counts_no_more():
    """A shop is not kept waiting in the morning for what was typed at night."""
    clock = Clock()
    limits, keys = Throttle(clock), sign_in_keys("tess", "10.0.0.1")
    for _ in range(AT_NAME.free):
        limits.attempt(keys)
    clock.now += FORGET + 1
    assert [0.0] * AT_NAME.free == [limits.attempt(keys) for _ in range(AT_NAME.free)]


def test_a_swarm_of_names_does_not_fill_the_memory(monkeypatch):
    """The oldest are forgotten."""
    monkeypatch.setattr(throttle, "MOST", 100)
    limits = Throttle(Clock())
    for n in range(1000):
        limits.attempt(sign_in_keys(f"name{n}", f"10.{n // 250}.{n % 250}.1"))
    assert 100 == len(limits._tried)


def test_an_account_has_so_many_sessions_and_the_oldest_ends_first():
    """A program that signs in again and again does not fill the memory either."""
    clock = Clock()
    sessions = Sessions(clock)
    tokens: list[str] = []
    for _ in range(MOST + 3):
        clock.now += 1
        tokens.append(sessions.begin("tess", 1, "10.0.0.1"))
    other = sessions.begin("olga", 1, "10.0.0.1")
    alive = [sessions.of(token, touch=False) is not None for token in tokens]
    assert [False] * 3 + [True] * MOST == alive
    assert sessions.of(other, touch=False) is not None
    assert len(set(tokens)) == len(tokens)
    assert all(len(token) >= 43 for token in tokens)


def test_no_more_codes_are_out_than_a_screen_shows():
    """The oldest is taken back, and one that is too old lets nobody in."""
    clock = Clock()
    codes = Codes(clock)
    given = []
    for n in range(10):
        clock.now += 1
        given.append(codes.give(f"tess {n}"))
    assert codes.take(given[0]) is None
    assert "tess 9" == codes.take(given[9])
    assert codes.take(given[9]) is None
    clock.now += GOOD_FOR
    assert codes.take(given[8]) is None
