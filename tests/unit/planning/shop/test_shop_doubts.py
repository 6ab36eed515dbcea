"""Doubts of a shop in words: which build, how far off, where to look; gone when it is left out."""

from __future__ import annotations

import numpy as np
import pytest

from pooled_shop import Shop
from strandwright.planning.shop.doubt import chance_words, shop_doubts
from strandwright.planning.shop.knowledge import POOLED
from strandwright.planning.shop.memory import VERSION, ShopMemory, spreads
from strandwright.planning.shop.outcome import Outcome
from strandwright.statistics.lesson import Lesson
from strandwright.store.memory import MemoryStore

AT = "2026-03-02T09:00:00.000Z"
BAD = 13


def kept(store: MemoryStore, number: int, lesson: Lesson) -> str:
    """Keep a lesson as a shop does, its noise standard; give its build."""
    build = f"{number:032x}"
    root = np.linalg.cholesky(lesson.noise)
    at = f"2026-03-{1 + number:02d}T09:00:00+00:00"
    groups = ("long beam", "hmpe-lcp", "", "")
    outcome = Outcome(build, f"LINE-{number}", at, *groups, 0.0, 1e-4, 1e-3, 0.0, None, 0.0, None)
    table = {
        "version": VERSION,
        "groups": [list(group) for group in lesson.groups],
        "names": list(POOLED),
        "slopes": np.linalg.solve(root, lesson.slopes).tolist(),
        "value": np.linalg.solve(root, lesson.value).tolist(),
        "outcome": outcome.table(),
    }
    store.save("lesson", build, table, at=AT, expected=0)
    return build


def shop(off: float, unknown: str = "packing", builds: int = 20) -> ShopMemory:
    """Twenty builds thrown by the table of spreads; the fourteenth is off in one unknown."""
    store, thrown = MemoryStore(), Shop(spreads(), 11, lots=3, readings=12, noise=0.1)
    shift = np.zeros(len(POOLED))
    shift[POOLED.index(unknown)] = off
    for number in range(builds):
        lesson = thrown.build()
        if number == BAD:
            value = lesson.value + lesson.slopes @ shift
            lesson = Lesson(lesson.groups, lesson.slopes, value, lesson.noise)
        kept(store, number, lesson)
    return ShopMemory(store, lambda: AT)


def test_a_bad_build_is_named_with_what_to_look_at():
    """Its number and job, how rare a good one is so far off, and its count of strands."""
    (doubt,) = shop_doubts(shop(20.0)).doubted
    assert (doubt.named.number, doubt.named.job) == (BAD + 1, f"LINE-{BAD}")
    assert doubt.text.startswith(f"Build {BAD + 1} (LINE-{BAD}) fits the others badly: fewer than")
    assert "Look at its count of strands, and how it was rubbed" in doubt.text
    assert "leave it out" in doubt.text


@pytest.mark.parametrize(
    "unknown, look",
    [("tape_scale", "its tape"), ("gauge", "its gauge"), ("drag", "brake"), ("leg", "its loops")],
)
def test_where_to_look_follows_what_is_off(unknown, look):
    """A tape, a gauge, a brake, loops: each is named where it alone explains the misfit."""
    (doubt,) = shop_doubts(shop(25.0, unknown)).doubted
    assert look in doubt.text


def test_good_builds_are_left_in_peace():
    """Nothing is doubted and nothing said."""
    found = shop_doubts(shop(0.0))
    assert (found.doubted, found.left_out, found.said) == ((), (), "")


def test_left_out_it_is_no_longer_doubted_and_its_reason_stands():
    """And taken in again it is."""
    memory = shop(20.0)
    (doubt,) = shop_doubts(memory).doubted
    memory.leave_out(doubt.named.build, "one strand too many")
    found = shop_doubts(memory)
    assert found.doubted == ()
    (out,) = found.left_out
    assert (out.because, out.named.number) == ("one strand too many", BAD + 1)
    assert out.text.startswith("It would not fit: fewer than one ")
    memory.take_in(doubt.named.build)
    assert [d.named.build for d in shop_doubts(memory).doubted] == [doubt.named.build]


def test_a_good_build_left_out_would_fit():
    """Said so, that it may be taken in again."""
    memory = shop(0.0)
    memory.leave_out(memory.outcomes()[3].build, "a trial")
    (out,) = shop_doubts(memory).left_out
    assert out.text == "It would fit the others."


def test_a_chance_is_said_in_figures_that_can_be_told_apart():
    """Two figures, and an end."""
    assert chance_words(1.0 / 4012.0) == "one good build in 4,000"
    assert chance_words(1.0 / 137.0) == "one good build in 140"
    assert chance_words(1e-40) == "fewer than one good build in a million"
