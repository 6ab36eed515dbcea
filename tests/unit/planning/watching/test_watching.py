"""Watching: line and bench told apart in cases whose answer is known beforehand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from strandwright.planning.watching.parts import Look, Settled, Standing
from strandwright.planning.watching.standing import judge
from strandwright.planning.watching.words import MATTERS, sentences
from strandwright.planning.written import Written
from strandwright.units import INCH, LBF

TIMES = (60.0, 180.0, 420.0, 900.0, 1740.0)
#: Length over the logarithm of load, and length, of a made-up line [m]
PER_LOAD, LENGTH = 0.25 * INCH, 58.0 * INCH
FIBRE, STEEL, WOOD = (-1.1e-5, 1e-6), (1.15e-5, 5e-7), (4e-6, 1e-6)
TO = Written("in", 16)


def decades(time):
    """Give the decades of settling since the load came on."""
    return math.log10(1.0 + time / 60.0)


def standing(loads, first=300.0 * LBF):
    """Give a line whose stretch goes by the logarithm of load, exactly known."""
    stretch = PER_LOAD * np.log(np.array(loads) / first)
    count = len(loads)
    return Standing(
        load=first,
        length=LENGTH,
        stretch=stretch,
        stretch_covariance=np.zeros((count, count)),
        per_load=np.full(count, PER_LOAD),
        line=FIBRE,
        tape=STEEL,
        beam=WOOD,
        room=1.0,
    )


def stood(line, bench, *, posts=True, warmer=0.0, warmth=True, times=TIMES):
    """Give the looks at a line that settles and a bench that gives, so much in a decade [m].

    The load is what is left of it when the line has grown and the posts have come nearer.
    """
    looks = []
    for time in times:
        heat = warmer * time / times[-1]
        grown = line * decades(time) + FIBRE[0] * LENGTH * heat
        nearer = bench * decades(time)
        load = 300.0 * LBF * math.exp(-(grown + nearer) / PER_LOAD)
        read = LENGTH - nearer
        looks.append(
            Look(
                event=f"{time:.0f}",
                at=time,
                load=load,
                own=0.004,
                heard=True,
                posts=read * (1.0 - STEEL[0] * heat) if posts else None,
                posts_u=0.001 * INCH if posts else 0.0,
                temperature=293.15 + heat if warmth else None,
                temperature_u=0.2 if warmth else 0.0,
            )
        )
    return tuple(looks)


def judged(looks, ahead=3600.0):
    """Judge them with the line's exact stretch."""
    return judge(looks, standing([look.load for look in looks]), ahead, MATTERS)


def test_a_strap_that_relaxes_is_not_taken_for_the_line():
    """The load falls and falls; the line, which does not move, is told to stand still."""
    watch = judged(stood(line=0.0, bench=0.015 * INCH))
    assert watch.looks[-1].load < 0.94 * watch.looks[0].load
    assert watch.rate.value == pytest.approx(0.0, abs=1e-5 * INCH)
    assert watch.verdict is Settled.SETTLED
    assert watch.bench_share.value == pytest.approx(1.0, abs=0.01)
    assert sentences(watch, TO)[0].startswith("Settled: the line gets no more than 0.00")


def test_a_line_that_creeps_on_a_stiff_bench_is_found_moving():
    """The same fall of the load, and all of it is the line's."""
    watch = judged(stood(line=0.015 * INCH, bench=0.0), ahead=90.0 * 3600.0)
    assert watch.rate.value == pytest.approx(0.015 * INCH, rel=1e-3)
    assert watch.bench_share.value == pytest.approx(0.0, abs=1e-9)
    assert watch.verdict is Settled.MOVING
    assert watch.soon.value == pytest.approx(0.015 * INCH * math.log10(2400.0 / 1800.0), rel=1e-3)


def test_line_and_bench_share_the_fall_of_the_load():
    """One part in four is the bench's: the posts came a quarter of what the load let go."""
    watch = judged(stood(line=0.012 * INCH, bench=0.004 * INCH))
    assert watch.rate.value == pytest.approx(0.012 * INCH, rel=1e-3)
    assert watch.bench_share.value == pytest.approx(0.25, rel=1e-3)


def test_the_uncertainty_of_the_rate_is_that_of_posts_and_loads():
    """Of straight weights: u^2 / sum of squares about the mean, u^2 the two readings together."""
    watch = judged(stood(line=0.01 * INCH, bench=0.01 * INCH, warmth=True))
    logs = np.array([decades(t) for t in TIMES])
    warm = (FIBRE[0] - STEEL[0]) * LENGTH * 0.2
    each = math.sqrt((0.001 * INCH) ** 2 + (0.004 * PER_LOAD) ** 2 + warm**2)
    expected = each / math.sqrt(((logs - logs.mean()) ** 2).sum())
    assert watch.rate.u == pytest.approx(expected, rel=1e-6)
    assert sum(share for _, share in watch.budget) == pytest.approx(1.0)
    assert watch.budget[0][0] == "reading the posts"


def test_warmth_alone_is_not_settling():
    """Line and tape grow by 8 K; read, it is taken off, and only its own +- stays."""
    watch = judged(stood(line=0.0, bench=0.0, warmer=8.0))
    assert abs(watch.rate.value) < 2e-6 * INCH
    assert watch.room_part == 0.0
    hidden = judged(stood(line=0.0, bench=0.0, warmer=8.0, warmth=False))
    assert abs(hidden.rate.value) > 1e-3 * INCH


def test_a_temperature_that_was_not_read_is_in_the_range_and_named():
    """A room that drifts by a kelvin, as log-time does, is carried to the slope in full."""
    looks = stood(line=0.01 * INCH, bench=0.0, warmth=False)
    watch = judged(looks)
    span = decades(TIMES[-1]) - decades(TIMES[0])
    assert watch.room_part == pytest.approx((STEEL[0] - FIBRE[0]) * LENGTH / span)
    read = judged(stood(line=0.01 * INCH, bench=0.0))
    assert watch.rate.u > read.rate.u
    assert any("No change of temperature" in said for said in sentences(watch, TO))


def test_without_the_posts_it_is_bench_and_line_together():
    """The load alone gives the sum, is called so, and never settled."""
    watch = judged(stood(line=0.004 * INCH, bench=0.011 * INCH, posts=False))
    assert watch.is_joint
    assert watch.verdict is Settled.JOINT
    assert watch.rate.value == pytest.approx(0.015 * INCH, rel=1e-3)
    assert watch.bench_share is None
    said = sentences(watch, TO)
    assert said[0].startswith("Bench and line together")
    assert "read the posts" in said[1]
    assert not any("Settled" in line for line in said)


def test_warmth_without_the_posts_is_that_of_line_and_beam():
    """What carries the posts grows with the room, and is taken off at the beam's own rate."""
    warm = 6.0
    looks = [
        replace(look, temperature=293.15 + warm * look.at / TIMES[-1], posts=None)
        for look in stood(line=0.0, bench=0.0)
    ]
    grown = [-(WOOD[0] - FIBRE[0]) * LENGTH * warm * look.at / TIMES[-1] for look in looks]
    looks = [
        replace(look, load=look.load * math.exp(-g / PER_LOAD))
        for look, g in zip(looks, grown, strict=True)
    ]
    assert abs(judged(looks).rate.value) < 2e-6 * INCH


def test_pulled_up_the_line_is_still_followed_by_its_posts():
    """A load brought back to where it was leaves the length at one load what it is."""
    looks = list(stood(line=0.01 * INCH, bench=0.0))
    for i in (2, 3, 4):
        longer = PER_LOAD * math.log(300.0 * LBF / looks[i].load)
        looks[i] = replace(looks[i], load=300.0 * LBF, posts=looks[i].posts + longer)
    watch = judged(looks)
    assert watch.pulled_up
    assert watch.rate.value == pytest.approx(0.01 * INCH, rel=1e-3)
    assert watch.bench_share is None


def test_pulled_up_without_the_posts_it_counts_from_there():
    """Loads before and after a pull do not belong to one fall."""
    looks = list(stood(line=0.0, bench=0.015 * INCH, posts=False))
    looks[3] = replace(looks[3], load=310.0 * LBF)
    looks[4] = replace(looks[4], load=308.0 * LBF)
    watch = judged(looks)
    assert watch.used == (3, 4)
    assert any("last pulled up" in said for said in sentences(watch, TO))


def test_one_look_tells_no_settling():
    """It is said, with what to read."""
    watch = judged(stood(line=0.01, bench=0.0)[:1])
    assert watch.verdict is Settled.FEW
    assert watch.fit is None
    (said,) = sentences(watch, TO)
    assert said.startswith("One look")


def test_a_common_error_of_heard_loads_does_not_move_the_line():
    """A mass that is 3 % wrong is the same in every pluck: it leaves the rate's +- alone."""
    looks = stood(line=0.01 * INCH, bench=0.01 * INCH)
    wrong = [replace(look, common=0.03) for look in looks]
    assert judged(wrong).rate.u == pytest.approx(judged(looks).rate.u, rel=1e-6)


def test_what_comes_of_a_coarse_tape_cannot_be_told():
    """With posts read to 1/64 in the range is wider than what matters, and the cause is named."""
    looks = [
        replace(look, posts_u=INCH / 64.0) for look in stood(line=0.004 * INCH, bench=0.002 * INCH)
    ]
    watch = judged(looks, ahead=20.0 * 3600.0)
    assert watch.verdict is Settled.UNSURE
    assert any("read the posts more finely" in said for said in sentences(watch, TO))
