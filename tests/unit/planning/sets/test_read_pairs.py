"""Pairs that were proved: how far apart they are, and the turns that make them alike."""

from __future__ import annotations

import pytest

from line_sets import changed_plan, planned
from sample_job import INCH
from strandwright.planning.sets.data import writing_of
from strandwright.planning.sets.pairs import proved_length
from strandwright.planning.sets.words import pair_said


def proved(id: str, length: str):
    """Plan an upper cable that was built and proved at a length."""
    readings = [
        {"stage": "bare", "length": "37 3/16 in"},
        {"stage": "proof", "length": length, "turns": 20.0},
    ]
    return changed_plan(
        id=id, build={"wound_at": "37 3/16 in", "turns": 20.0, "readings": readings}
    )


def pair_of(first: str, second: str):
    """Compare two cables by what they were proved at."""
    plans = (proved("A-1", first), proved("A-2", second))
    found = planned(plans, pairs=[{"one": "A-1", "other": "A-2"}])
    return found.pairs[0], plans, pair_said(found.pairs[0], writing_of(found))


def test_a_pair_that_reads_alike_matches():
    """Within 1/32 in, with nothing to do and no chance any more."""
    pair, _, said = pair_of("36 7/8 in", "36 7/8 in")
    assert pair.is_read
    assert pair.chance is None
    assert pair.difference.value == pytest.approx(0.0, abs=0.5e-3)
    assert "as is common practice" in said
    assert "agrees" == next(c.verdict for c in pair.checks if c.of == "length of the pair")


def test_the_longer_one_is_turned_to_the_other():
    """By its own turn effect, to half a turn."""
    pair, plans, said = pair_of("37 in", "36 7/8 in")
    apart = proved_length(plans[0]).value - proved_length(plans[1]).value
    assert apart == pytest.approx(pair.difference.value) == pytest.approx(INCH / 8.0, abs=1e-3)
    assert "A-1" == pair.longer
    effect = abs(plans[0].twist.next_turn.value)
    assert abs(pair.turns - apart / effect) <= 0.25 + 1e-9
    assert 0.0 == pair.turns % 0.5
    assert "turns more into A-1" in said
    length = next(c for c in pair.checks if c.of == "length of the pair")
    assert ("differs", True) == (length.verdict, "turn the longer one" in length.remedy)


def test_what_one_bench_reads_wrong_falls_out_of_the_difference():
    """The difference is surer than either length; with two benches it is not."""
    pair, plans, _ = pair_of("37 in", "36 7/8 in")
    assert pair.difference.u < plans[0].landing.proof_u * 2.0**0.5
    other = changed_plan(
        id="A-2", bench__name="other",
        build={"wound_at": "37 3/16 in", "turns": 20.0, "readings": [
            {"stage": "proof", "length": "36 7/8 in", "turns": 20.0}]},
    )  # fmt: skip
    apart = planned((plans[0], other), pairs=[{"one": "A-1", "other": "A-2"}]).pairs[0]
    assert apart.difference.u > pair.difference.u


def test_one_that_was_read_is_not_a_pair_that_was():
    """Until both are proved they are compared as they are asked for."""
    plans = (proved("A-1", "37 in"), changed_plan(id="A-2"))
    pair = planned(plans, pairs=[{"one": "A-1", "other": "A-2"}]).pairs[0]
    assert not pair.is_read
    assert 0.0 == pair.difference.value
    assert pair.chance is not None
