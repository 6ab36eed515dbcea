"""Settling on the bow: the law, its fit, what is judged from it and when to look again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from settling_lines import DAY, PRIOR, READING, a_line, looks
from strandwright.numerics.outcome import Reason
from strandwright.statistics.settling import (
    Moment,
    Pace,
    Rule,
    Steps,
    Verdict,
    Why,
    creep_excess,
    deviation,
    fit_settling,
    judge,
    most_probable,
    movement,
    next_look,
)
from strandwright.statistics.settling.law import elongation, with_slopes

TOLERANCE = 1.1e-3
RULE = Rule(TOLERANCE, 500.0, 30.0 * DAY, -5.7e-4)
PACE = Pace(30.0 / DAY, 10.0, 2000.0, 180.0 * DAY)


def fitted(shots, days, read, steps=None, u=READING, prior=PRIOR):
    """Fit, and hold it to having converged."""
    found = fit_settling(
        prior, shots, DAY * np.asarray(days, dtype=float), read, np.full(len(read), u), steps
    )
    return found.raise_for_failure().value


def test_the_law_by_hand():
    """Nothing at fitting but the offset; at the scale 1 - 1/e of bedding-in; a decade of creep."""
    point = np.array([1e-4, *np.log([1e-3, 40.0, 1.0, 2e-4, 1e-30])])
    at = elongation(point[None], [0.0, 40.0, 0.0], [0.0, 0.0, 9.0 * 3600.0], 3600.0)[0]
    assert at == pytest.approx([1e-4, 1e-4 + 1e-3 * (1.0 - np.exp(-1.0)), 3e-4], rel=1e-9)


def test_slopes_are_those_of_the_law():
    """Analytic slopes against central differences, at fitting and long after."""
    point = np.concatenate([[2e-4], PRIOR.mean[1:] + 0.3])
    shots, time = np.array([0.0, 1.0, 30.0, 400.0]), np.array([0.0, 3600.0, 2e5, 4e7])
    value, slopes = with_slopes(point, shots, time, 3600.0)
    assert value == pytest.approx(elongation(point[None], shots, time, 3600.0)[0], rel=1e-12)
    for k in range(6):
        step = np.zeros(6)
        step[k] = 1e-5 if k else 1e-8
        ends = [elongation((point + s * step)[None], shots, time, 3600.0)[0] for s in (1, -1)]
        numeric = (ends[0] - ends[1]) / (2.0 * step[k])
        assert slopes[:, k] == pytest.approx(numeric, rel=1e-5, abs=1e-10)


def test_without_readings_it_is_the_prior():
    """Mode, covariance and draws are those that were known before."""
    found = fitted([], [], [])
    assert found.mode.point == pytest.approx(PRIOR.mean)
    assert np.sqrt(np.diagonal(found.mode.covariance)) == pytest.approx(PRIOR.u)
    assert found.draws.mean(axis=0) == pytest.approx(PRIOR.mean, abs=1e-9)
    assert np.log(found.draws.std(axis=0) / PRIOR.u) == pytest.approx(0.0, abs=0.12)


def test_exact_readings_of_the_law_are_found_again():
    """Many readings without error give back what they were made by."""
    truth = PRIOR.mean + np.array([1e-4, 0.4, -0.3, 0.1, 0.2, 0.0])
    shots = np.array([0, 5, 10, 20, 40, 80, 150, 300, 600, 1200], dtype=float)
    time = shots / 20.0 * DAY
    read = elongation(truth[None], shots, time, PRIOR.start)[0]
    found = fit_settling(PRIOR, shots, time, read, np.full(shots.size, 1e-7)).value
    assert found.mode.value == pytest.approx(read, abs=1e-6)
    assert found.mode.point[:3] == pytest.approx(truth[:3], abs=0.03)


def test_one_bad_reading_moves_little():
    """A slip of 2 mm loses its weight; what is said without it is nearly what is said with it."""
    shots, days = [0, 25, 60, 120, 250], [0, 1, 2, 4, 8]
    read = np.array([0.0, 4e-4, 6.5e-4, 7.5e-4, 8e-4])
    good = fitted(shots, days, read)
    bad = fitted(shots, days, read + np.array([0, 0, 1.5e-3, 0, 0]))
    assert good.weight.min() > 0.9
    assert bad.weight[2] < 0.2
    assert bad.weight[[0, 1, 3, 4]].min() > 0.5
    at = [good.curve([250.0], [8 * DAY]).mean(), bad.curve([250.0], [8 * DAY]).mean()]
    assert at[1] - at[0] == pytest.approx(0.0, abs=0.75 * READING)


def test_a_reading_that_fits_nothing_is_to_be_read_again():
    """The last one, far off, is told of and no turns are advised by it."""
    settling = fitted([0, 25, 60, 120], [0, 1, 2, 4], [0.0, 4e-4, 6e-4, 4e-3])
    found = judge(settling, Moment(120.0, 4 * DAY), RULE, read=True)
    assert (found.verdict, found.halves) == (Verdict.READ_AGAIN, 0)
    look = next_look(
        settling, Moment(120.0, 4 * DAY), RULE, found, PACE, chance=0.1, reading_u=READING
    )
    assert (look.why, look.shots) == (Why.NOW, 0.0)


@pytest.mark.parametrize("off", [-6e-3, 8e-3])
def test_a_first_reading_far_off_turns_nothing(off):
    """Alone against what was known before, it is read again before any turn hangs on it."""
    found = judge(fitted([0], [0], [off]), Moment(0.0, 0.0), RULE, read=True)
    assert (found.verdict, found.halves) == (Verdict.READ_AGAIN, 0)


@pytest.mark.parametrize("off", [-6e-3, 8e-3])
def test_readings_that_agree_outweigh_what_was_known_before(off):
    """Read again the same it stands, and the proof is what was wrong; no reading is doubted."""
    shots, days = [100, 100], [5, 5.01]
    settling = fitted(shots, days, [off, off])
    now = Moment(100.0, 5.01 * DAY)
    found = judge(settling, now, RULE, read=True)
    assert settling.weight.min() > 0.9
    assert found.verdict is not Verdict.READ_AGAIN
    assert found.off.mean == pytest.approx(off, abs=2.0 * READING)


def test_readings_that_agree_with_nothing_are_not_believed():
    """Two at the same moment, far from each other and from the proof: read it again."""
    settling = fitted([100, 100], [5, 5.01], [-6e-3, 6e-3])
    found = judge(settling, Moment(100.0, 5.01 * DAY), RULE, read=True)
    assert (found.verdict, found.halves) == (Verdict.READ_AGAIN, 0)


def test_a_new_line_still_moves_and_an_old_one_is_done():
    """By the fibre alone nothing is done; level readings over 250 shots are."""
    start = Moment(0.0, 0.0)
    assert judge(fitted([], [], []), start, RULE, read=False).verdict is Verdict.STILL_MOVING
    level = fitted([0, 60, 120, 250], [0, 3, 6, 12], [0.0, 1e-5, 2e-5, 1e-5])
    found = judge(level, Moment(250.0, 12 * DAY), RULE, read=True)
    assert (found.verdict, found.halves) == (Verdict.DONE, 0)
    assert found.further.high < TOLERANCE
    assert found.chance_moved < 0.03


@pytest.mark.parametrize(("long", "halves"), [(6e-4, 2), (1.2e-3, 4), (-9e-4, -3), (1e-4, 0)])
def test_half_turns_are_counted_from_what_it_is_off(long, halves):
    """By what half a turn does, 2.85e-4: in where too long, out where too short."""
    shots, days = [0, 60, 120, 250], [0, 3, 6, 12]
    prior = replace(PRIOR, offset=long)
    found = judge(
        fitted(shots, days, np.full(4, long), u=5e-5, prior=prior),
        Moment(250.0, 12 * DAY), RULE, read=True,
    )  # fmt: skip
    assert found.halves == halves
    assert found.verdict is (Verdict.TWIST_BACK if halves else Verdict.DONE)


def test_held_to_how_it_was_when_the_bow_was_as_wanted():
    """The length asked for no longer counts; what is common to both moments drops out."""
    exact = replace(PRIOR, law=0.0)
    settling = fitted([0, 60, 120, 250], [0, 3, 6, 12], np.full(4, 9e-4), prior=exact)
    now = Moment(250.0, 12 * DAY)
    then = Moment(120.0, 6 * DAY)
    rule = replace(RULE, aim=then)
    off = deviation(settling, now, rule)
    assert off.std() < 0.3 * deviation(settling, now, RULE).std()
    assert judge(settling, now, rule, read=True).halves == 0
    assert off == pytest.approx(movement(settling, then, now))


def test_a_turn_is_a_known_step():
    """Readings before and after a turn are one curve; what the turn did is learned a little."""
    shots, days = [0, 25, 60, 60, 120, 250], [0, 1, 2, 2, 4, 8]
    curve = np.array([0.0, 4e-4, 6.5e-4, 6.5e-4, 7.5e-4, 8e-4])
    turned = np.array([0, 0, 0, 1, 1, 1], dtype=float)
    steps = Steps(turned[:, None], np.array([1.0]), np.array([-5.7e-4]), np.array([1e-9]))
    plain, with_turn = (
        fitted(shots, days, curve),
        fitted(shots, days, curve - 5.7e-4 * turned, steps),
    )
    assert with_turn.mode.point[:6] == pytest.approx(plain.mode.point, abs=1e-4)
    now = Moment(250.0, 8 * DAY)
    shorter = deviation(with_turn, now, RULE).mean() - deviation(plain, now, RULE).mean()
    assert shorter == pytest.approx(-5.7e-4, abs=2e-5)
    loose = replace(steps, u=np.array([1.2e-4]))
    learned = fitted(shots, days, curve - 7.5e-4 * turned, loose).mode
    assert -7.5e-4 < learned.point[6] < -5.8e-4
    assert learned.covariance[6, 6] < 1.2e-4**2


def test_creep_that_does_not_slow_is_told_from_creep_that_does():
    """A line that goes on by a millimetre a month is past what its fibre explains."""
    days = np.array([0, 3, 10, 40, 80, 120, 160], dtype=float)
    shots = 10.0 * days
    slows = fitted(shots, days, 3e-4 * np.log10(1.0 + days * 24.0) / 3.0)
    runs = fitted(shots, days, 2.5e-5 * days)
    now = Moment(1600.0, 160 * DAY)
    assert creep_excess(slows, now, 90 * DAY) < 0.3
    assert creep_excess(runs, now, 90 * DAY) > 0.97
    assert creep_excess(fitted([], [], []), now, 90 * DAY) == pytest.approx(0.025, abs=0.01)


def test_the_next_look_is_by_the_chance_to_have_moved():
    """Where it may have moved by then, and no sooner; a tighter tolerance brings it forward."""
    settling, start = fitted([], [], []), Moment(0.0, 0.0)
    wide = replace(RULE, tolerance=2.0 * TOLERANCE)
    found = replace(judge(settling, start, wide, read=False), verdict=Verdict.DONE)
    look = next_look(settling, start, wide, found, PACE, chance=0.1, reading_u=READING)
    assert look.why is Why.MAY_HAVE_MOVED
    assert look.time == pytest.approx(look.shots / PACE.per_second)
    there = movement(settling, start, start.later(look.shots, look.time))
    before = movement(settling, start, start.later(0.8 * look.shots, 0.8 * look.time))
    assert (before > wide.tolerance).mean() < 0.1 <= (there > wide.tolerance).mean()
    sooner = next_look(settling, start, RULE, found, PACE, chance=0.1, reading_u=READING)
    assert sooner.shots < look.shots


def test_a_look_that_decides_does_decide():
    """Of lines that still move, most are found done by a reading taken when it was asked for."""
    rng, asked, decided = np.random.default_rng(8), 0, 0
    for _ in range(40):
        line = a_line(rng)
        shots, time, read = looks(line, rng)
        settling = fitted(shots[:3], time[:3] / DAY, read[:3])
        now, pace = Moment(shots[2], time[2]), replace(PACE, per_second=line.pace / DAY)
        found = judge(settling, now, RULE, read=True)
        look = next_look(settling, now, RULE, found, pace, chance=0.1, reading_u=READING)
        if look.why is not Why.DECIDES:
            continue
        asked += 1
        n, t = np.r_[shots[:3], now.shots + look.shots], np.r_[time[:3], now.time + look.time]
        new = line.at(n[3:], t[3:]) + READING * rng.standard_normal(1)
        after = fitted(n, t / DAY, np.r_[read[:3], new])
        decided += judge(after, Moment(n[3], t[3]), RULE, read=True).verdict in (
            Verdict.DONE, Verdict.TWIST_BACK,
        )  # fmt: skip
    assert asked >= 10
    assert decided >= 0.4 * asked


def test_doubt_of_the_law_widens_what_is_to_come_and_nothing_else():
    """What was is as sure as before; what comes is not, and is never below nothing."""
    rows = [0, 60, 120, 250], [0, 3, 6, 12], [0.0, 4e-4, 5e-4, 6e-4]
    exact, doubted = (fitted(*rows, prior=replace(PRIOR, law=law)) for law in (0.0, 0.5))
    now = Moment(250.0, 12 * DAY)
    assert deviation(exact, now, RULE) == pytest.approx(deviation(doubted, now, RULE))
    one, other = (judge(s, now, RULE, read=True).further for s in (exact, doubted))
    assert other.high > 1.2 * one.high
    assert 0.0 <= other.low < one.low


def test_a_look_is_never_later_than_the_longest():
    """Sixty level readings do not let a line go for years."""
    level = fitted([0, 60, 120, 250, 500], [0, 3, 6, 12, 24], np.zeros(5), u=2e-5)
    now = Moment(500.0, 24 * DAY)
    found = judge(level, now, RULE, read=True)
    look = next_look(level, now, RULE, found, PACE, chance=0.1, reading_u=READING)
    assert look.shots <= PACE.most_shots * (1 + 1e-9)
    assert look.time <= PACE.longest * (1 + 1e-9)


def test_steps_that_never_end_are_told():
    """A curve that is not finite where it begins is an outcome, not an exception."""

    def broken(point):
        return np.full(1, np.nan), np.ones((1, 1))

    found = most_probable(broken, np.zeros(1), np.ones(1), np.zeros(1), np.ones(1))
    assert found.reason is Reason.NOT_FINITE
    assert not found.ok.all()


def test_coverage_on_lines_with_a_law_of_their_own():
    """Sixty lines of sums of exponentials and power laws: the range holds what comes."""
    rng, held = np.random.default_rng(31), []
    for _ in range(60):
        line = a_line(rng)
        shots, time, read = looks(line, rng)
        for m in (2, 3, 4, 5):
            settling = fitted(shots[:m], time[:m] / DAY, read[:m])
            now = Moment(shots[m - 1], time[m - 1])
            ahead = judge(settling, now, RULE, read=True).further
            true = line.later(now.shots, now.time, RULE.ahead_shots, RULE.ahead_time)
            held.append(ahead.low <= true <= ahead.high)
    assert np.mean(held) >= 0.88
