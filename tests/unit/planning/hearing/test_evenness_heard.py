"""Evenness heard: pitches squared are shares of the load, and what they cost is told."""

from __future__ import annotations

import math

import numpy as np
import pytest

from strandwright.errors import SpecError
from strandwright.fibre.evenness import share_load, tension_deviation
from strandwright.planning.hearing.evenness import Evenness, Plucked, UnderLoad, compare_by_ear
from strandwright.planning.written import Written

TO = Written("in", 16)
UNDER = UnderLoad(length=1.45, strand_load=40.0, strand_stiffness=9000.0, strand_break=300.0)


def groups(*pitches, u=0.02, strands=(8, 8, 8)):
    """Give colour groups of those pitches."""
    names = ("red", "black", "white")
    return [Plucked(*row) for row in zip(names, pitches, [u] * 3, strands, strict=False)]


def test_shares_go_by_the_square_of_the_pitch():
    """A pitch higher by 2 % carries 4 % more; the strands' mean is one."""
    heard = compare_by_ear(groups(60.0, 60.0, 61.2))
    mean = (2.0 + 1.02**2) / 3.0
    assert [s.value for s in heard.shares] == pytest.approx([1 / mean, 1 / mean, 1.0404 / mean])
    assert heard.worst == 2


def test_the_mean_is_over_strands_not_over_groups():
    """A group of two strands weighs a quarter of one of eight."""
    heard = compare_by_ear(groups(60.0, 63.0, strands=(8, 2)))
    shares = np.array([s.value for s in heard.shares])
    assert shares @ [8, 2] == pytest.approx(10.0)
    assert shares[1] / shares[0] == pytest.approx((63.0 / 60.0) ** 2)


def test_pitches_of_a_wound_skein_come_back_as_its_lengths():
    """Forward by the sharing of a load, back by ear: lengths and the strength they cost."""
    natural = np.array([1.4400, 1.4398, 1.4407])
    shared = share_load(natural.repeat(8), UNDER.strand_stiffness, 24 * UNDER.strand_load)
    tensions = shared.tensions[::8]
    pitches = np.sqrt(tensions / 1.9e-4) / (2.0 * float(shared.length))
    under = UnderLoad(float(shared.length), UNDER.strand_load, 9000.0, 300.0)
    heard = compare_by_ear(groups(*pitches, u=1e-4), under=under)
    off = natural - natural.mean()
    assert [x.value for x in heard.longer] == pytest.approx(off, abs=1e-8)
    expected = 1.0 + tension_deviation(off, natural.mean(), 9000.0, 40.0)
    assert [s.value for s in heard.shares] == pytest.approx(expected, abs=2e-3)
    # At break the shortest strand has its whole strain, the others what is left to them.
    drawn = natural.min() * (1.0 + 300.0 / 9000.0)
    kept = (drawn / natural - 1.0).mean() / (300.0 / 9000.0)
    assert heard.kept is not None
    assert heard.kept.value == pytest.approx(kept, abs=1e-6)


def test_the_uncertainty_of_a_share_is_that_of_the_gum():
    """Two legs: t = 2 f^2 / (f^2 + g^2), so u(t) = 4 f g sqrt(...) of both pitches."""
    left, right, u = 100.0, 104.0, 0.3
    heard = compare_by_ear([Plucked("left leg", left, u, 12), Plucked("right leg", right, u, 12)],
                           kind="legs")  # fmt: skip
    total = left**2 + right**2
    slopes = (4.0 * left * right**2 / total**2, -4.0 * left**2 * right / total**2)
    assert heard.shares[0].u == pytest.approx(u * math.hypot(*slopes), rel=1e-3)


def test_even_groups_pass_and_cost_nothing():
    """Nothing is asked of a technician whose skein is even."""
    heard = compare_by_ear(groups(60.0, 60.0, 60.0, u=1e-3), under=UNDER)
    assert heard.verdict is Evenness.EVEN
    assert heard.kept is not None
    assert heard.kept.value == pytest.approx(1.0)
    assert heard.spread.value == 0.0
    assert heard.sentences(TO)[0].startswith("Even to within 5 %")


def test_an_uneven_group_is_named_with_what_to_do():
    """Which, by how much, what it costs."""
    heard = compare_by_ear(groups(60.0, 60.0, 66.0), under=UNDER)
    assert heard.verdict is Evenness.UNEVEN
    first, length, cost = heard.sentences(TO)
    assert "white carries 13" in first
    assert "let white off and tie it off again" in first
    assert "white is 0.0" in length
    assert "shorter" in length
    assert "of the strength" in cost
    assert heard.kept is not None
    assert 0.9 < heard.kept.value < 1.0


def test_legs_are_told_which_to_make_longer():
    """The tighter leg is the shorter one."""
    heard = compare_by_ear(
        [Plucked("left leg", 100.0, 0.05, 12), Plucked("right leg", 108.0, 0.05, 12)], kind="legs"
    )
    (said,) = heard.sentences(TO)
    assert "right leg carries 7." in said or "left leg carries 7." in said
    tight = heard.shares[heard.worst].value > 1.0
    assert ("Make it longer" if tight else "Make it shorter") in said


def test_pitches_that_are_not_sure_enough_decide_nothing():
    """A +- that reaches over the border."""
    heard = compare_by_ear(groups(60.0, 60.0, 61.5, u=0.8))
    assert heard.verdict is Evenness.UNSURE
    assert heard.sentences(TO)[0].startswith("At the border")


def test_the_spread_leaves_out_what_the_pitches_make_of_it():
    """Noise alone shows as no spread, with a +- of its own size."""
    random = np.random.default_rng(5)
    seen = [
        compare_by_ear(groups(*(60.0 + 0.3 * random.normal(size=3)), u=0.3)).spread
        for _ in range(200)
    ]
    assert np.mean([s.value <= 2.0 * s.u for s in seen]) > 0.9
    wide = compare_by_ear(groups(58.0, 60.0, 62.0, u=0.01)).spread
    shares = np.array([58.0, 60.0, 62.0]) ** 2
    assert wide.value == pytest.approx((shares / shares.mean()).std(), rel=1e-3)


@pytest.mark.parametrize(
    "parts",
    [
        [Plucked("red", 60.0, 0.1)],
        [Plucked("red", 0.0, 0.1), Plucked("black", 60.0, 0.1)],
        [Plucked("red", math.nan, 0.1), Plucked("black", 60.0, 0.1)],
        [Plucked("red", 60.0, 0.1, 0), Plucked("black", 60.0, 0.1)],
    ],
)
def test_what_was_not_heard_is_refused(parts):
    """One part alone, no pitch, no strands."""
    with pytest.raises(SpecError):
        compare_by_ear(parts)
