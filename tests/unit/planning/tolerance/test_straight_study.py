"""The study of a bench that is straight and normal, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import multivariate_normal
from straight_bench import LENGTH, TAKE_UP, TURNS, StraightBench, straight_study

from strandwright.planning.tolerance.result import found
from strandwright.planning.tolerance.run import run_study
from strandwright.planning.tolerance.runners.threads import Threads
from strandwright.planning.tolerance.study import Proving
from strandwright.statistics.acceptance import chance_within

BENCH, NOISE = StraightBench(line=3e-3, tape=0.4e-3), 0.3e-3


def studied(**changes):
    """Work a study out, and give it with what was found."""
    study = straight_study(BENCH, NOISE, **changes)
    progress = run_study(study, Threads(2))
    return study, found(study, progress.tally)


def left(readings: int) -> tuple[float, float]:
    """Variance of the line after so many readings, and of the mean reading about the line."""
    reading = BENCH.tape**2 + NOISE**2 / readings
    return BENCH.line**2 * reading / (BENCH.line**2 + reading), reading


def close(share, exact: float, builds: int) -> None:
    """Hold a share to the exact one, within four standard errors of the draws."""
    assert share.value == pytest.approx(
        exact, abs=4.0 * math.sqrt(exact * (1.0 - exact) / builds) + 1.0 / builds
    )


def test_the_blind_share_is_the_normal_one():
    """Without readings the share is that of the line's own spread."""
    study, result = studied()
    exact = float(chance_within(0.0, BENCH.line, study.tolerance))
    close(result.blind.within, exact, result.builds)
    wider = math.hypot(BENCH.line, study.original_u)
    close(result.blind.of_original, float(chance_within(0.0, wider, study.tolerance)),
          result.builds)  # fmt: skip
    assert result.blind.off.deviation == pytest.approx(BENCH.line, rel=0.015)


@pytest.mark.parametrize("stages", [("whole",), ("half", "whole")])
def test_the_guided_share_is_that_of_what_readings_leave(stages):
    """With turns put in ever so finely, what is left is the line's spread given the readings."""
    study, result = studied(stages=stages, tolerance=0.8e-3)
    u = math.sqrt(left(len(stages))[0])
    close(result.guided.within, float(chance_within(0.0, u, study.tolerance)), result.builds)
    assert result.guided.off.deviation == pytest.approx(u, rel=0.015)
    assert result.guided.off.mean == pytest.approx(0.0, abs=4.0 * u / math.sqrt(result.builds))
    assert result.guided.off.at(0.975) == pytest.approx(1.96 * u, rel=0.03)


def test_whole_steps_add_their_own_spread():
    """Half turns leave a rectangular error beside the normal one."""
    study, result = studied(step=0.5, tolerance=0.8e-3)
    u = math.sqrt(left(2)[0])
    # A half turn changes the length by less where fewer turns are in.
    off = 0.5 * TAKE_UP * 2.0 * TURNS * 0.5 * np.linspace(-1.0, 1.0, 2001)
    exact = float(np.mean(chance_within(off, np.full_like(off, u), study.tolerance)))
    close(result.guided.within, exact, result.builds)
    step_u = TAKE_UP * 2.0 * TURNS * 0.5 / math.sqrt(12.0)
    assert result.guided.off.deviation == pytest.approx(math.hypot(u, step_u), rel=0.015)


def test_the_proof_is_right_as_often_as_two_normals_say():
    """Accepted and within, accepted and out: the square cut out of the joint normal."""
    tolerance, limit, rejected = 0.8e-3, 0.5e-3, 1.1e-3
    proving = Proving("whole", 0.0, NOISE, limit, rejected)
    _, result = studied(tolerance=tolerance, proving=proving)
    v, reading = left(2)
    gain = BENCH.line**2 / (BENCH.line**2 + reading)
    # Line and tape after the readings: what one takes too much, the other has too little.
    cross = -gain * BENCH.tape**2
    tape = BENCH.tape**2 - BENCH.tape**4 / (BENCH.line**2 + reading)
    covariance = np.array([[v, v + cross], [v + cross, v + 2.0 * cross + tape + NOISE**2]])
    joint = multivariate_normal(np.zeros(2), covariance)  # pyright: ignore[reportArgumentType]

    def inside(error: float, read: float) -> float:
        ends = [(a * error, b * read, a * b) for a in (1.0, -1.0) for b in (1.0, -1.0)]
        return float(sum(sign * joint.cdf(np.array([a, b])) for a, b, sign in ends))

    verdicts = {proof.verdict: proof for proof in result.proofs}
    both, any_error = inside(tolerance, limit), inside(1.0, limit)
    close(verdicts["accepted"].within, both, result.builds)
    close(verdicts["accepted"].out, any_error - both, result.builds)
    beyond = 1.0 - inside(1.0, rejected)
    beyond_within = inside(tolerance, 1.0) - inside(tolerance, rejected)
    close(verdicts["rejected"].within, beyond_within, result.builds)
    close(verdicts["rejected"].out, beyond - beyond_within, result.builds)
    total = sum(p.within.value + p.out.value for p in result.proofs)
    assert total == pytest.approx(1.0, abs=1e-12)


def test_an_acceptance_limit_of_nothing_accepts_nothing():
    """Where the reading is too coarse to accept any line, none is accepted."""
    _, result = studied(proving=Proving("whole", 0.0, NOISE, 0.0, 3e-3))
    assert 0.0 == result.proofs[0].within.value == result.proofs[0].out.value


def test_what_turns_cannot_reach_is_counted():
    """Lines shorter than asked for before any turn, and longer than all turns take up."""
    wide = StraightBench(line=30e-3, tape=0.1e-3)
    study = straight_study(wide, 0.1e-3, tolerance=1e-3)
    result = found(study, run_study(study, Threads(2)).tally)
    none, most = TAKE_UP * TURNS**2, TAKE_UP * (300.0**2 - TURNS**2)

    def tail(limit: float) -> float:
        return 0.5 * math.erfc((limit + study.tolerance) / (wide.line * math.sqrt(2.0)))

    close(result.short, tail(none), result.builds)
    close(result.long, tail(most), result.builds)
    over = TAKE_UP * (120.0**2 - TURNS**2)
    close(result.over_twisted, 0.5 * math.erfc(over / (wide.line * math.sqrt(2.0))),
          result.builds)  # fmt: skip
    assert result.reached_within.value > 0.9999


def test_a_build_of_which_nothing_comes_is_counted_and_stops_nothing():
    """A model that gives no number leaves a failed build, not within, and nothing else moves."""

    class Torn(StraightBench):
        def finished(self, drawn, turns):
            length = super().finished(drawn, turns)
            return np.where(drawn["line"] > 2.0 * self.line, np.nan, length)

    study = straight_study(Torn(3e-3, 0.4e-3), NOISE)
    tally = run_study(study, Threads(2)).tally
    result = found(study, tally)
    torn = 0.5 * math.erfc(2.0 / math.sqrt(2.0))
    assert result.failed / result.builds == pytest.approx(torn, rel=0.15)
    assert tally.spreads["guided.length"].count == result.builds - result.failed
    judged = sum(p.within.value + p.out.value for p in result.proofs)
    assert judged == pytest.approx(1.0 - result.failed / result.builds, abs=1e-12)
    assert result.blind.within.value < 1.0 - torn


def test_shares_are_never_certain():
    """A share drawn always or never still has a +-, which more draws make smaller."""
    _, few = studied(builds=100, tolerance=0.1)
    _, many = studied(builds=10_000, tolerance=0.1)
    assert 1.0 == few.blind.within.value == many.blind.within.value
    assert 0.0 < many.blind.within.u < few.blind.within.u < 0.02
    assert few.builds == 100 and LENGTH > 0.0
