"""The line as a whole: stiffness in series, strands of an end under their own load, turns found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from strandwright.fibre.laid.by_hand import hand_rate_for
from strandwright.fibre.laid.equilibrium import balanced_lay, held_ends
from strandwright.fibre.twist import span_length
from strandwright.line.build import turns_for
from strandwright.planning.examples import example
from strandwright.planning.laid.ropes import Ropes
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import at_mean, prepare
from strandwright.planning.result import Plan


@pytest.fixture(scope="module")
def heath() -> Plan:
    """A laid-in string: married ends of half as many strands again, loops of twice as many."""
    return plan_line(example("HEATH-1"))


def _prepared(plan: Plan):
    return prepare(plan.job, plan.target.length.value, plan.parameters)


def test_a_straight_line_is_as_stiff_as_its_strands() -> None:
    """To the last digit, strained or by its stiffness."""
    plan = plan_line(example("MERE-1"))
    model, q = _prepared(plan).model, at_mean(plan.parameters)
    load = np.array([445.0])
    assert model.line_stiffness(q)[0] == model.line.strand_count * q["stiffness"][0]
    assert model.line_strain(q, load)[0] == model.strain(q, load)[0]


def test_sections_and_loops_stretch_in_series(heath: Plan) -> None:
    """By hand: each length over its strands, the body's strands over the sum."""
    prepared, q = _prepared(heath), at_mean(heath.parameters)
    model, line = prepared.model, prepared.model.line
    first, last = model.layout.edges[[0, -1]]
    married = sum(min(p.stop, last) - max(p.start, first) for p in line.parts if p.strands > 1.0)
    loops = first + line.length - last
    body = line.length - loops - married
    softness = (body + married / 1.5 + loops / 2.0) / line.length
    expected = line.strand_count * q["stiffness"] / softness
    np.testing.assert_allclose(model.line_stiffness(q), expected, rtol=1e-12)


@pytest.mark.parametrize("strands", [1.0, 1.5, 2.0])
def test_strands_of_an_end_settle_under_their_own_load(heath: Plan, strands: float) -> None:
    """So many strands at a load settle as the body's do at that load over them."""
    model, q = _prepared(heath).model, at_mean(heath.parameters)
    proof = model.route.stage("proof")
    less = replace(
        proof,
        highest_load=proof.highest_load / strands,
        highest_twisted=proof.highest_twisted / strands,
        creep_load=proof.creep_load / strands,
    )
    there = model.permanent(q, proof, strands)
    np.testing.assert_allclose(there, model.permanent(q, less), rtol=1e-12)
    assert strands == 1.0 or there[0] < model.permanent(q, proof)[0]


def test_the_body_grows_by_the_mean_of_its_sections(heath: Plan) -> None:
    """Between that of the body's strands and that of the thicker ends, by their lengths."""
    model, q = _prepared(heath).model, at_mean(heath.parameters)
    proof = model.route.stage("proof")
    shares = model.layout.open_shares
    each = [1.0 + model.permanent(q, proof, part.strands)[0] for part in model.line.parts]
    own = q["own_proof"][0]
    assert model.growth(q, proof, rested=True)[0] == pytest.approx(shares @ each + own, rel=1e-12)


@pytest.mark.parametrize("name", ["HEATH-1", "QUARRY-1", "CRAG-2"])
def test_turns_do_not_depend_on_where_they_are_looked_for(name: str) -> None:
    """Lines of several sections come to the same turns from any guess, to 1e-9."""
    plan = plan_line(example(name))
    model, q = _prepared(plan).model, at_mean(plan.parameters)
    skein = plan.chosen.skein
    found = [turns_for(model, q, skein, guess, 200.0).turns for guess in (8.0, 15.0, 30.0)]
    assert np.ptp(found) < 1e-9 * found[0]


MORE = np.linspace(0.0, 60.0, 121)


def _length(tables, naturals, turns: float) -> float:
    """Length of spans in series under one torque, with so many turns in all."""
    low, high = 0.0, float(tables[0][0][-1])
    for _ in range(60):
        middle = 0.5 * (low + high)
        share = [np.interp(middle, torque, MORE) for torque, _ in tables]
        low, high = (middle, high) if np.dot(naturals, share) < turns else (low, middle)
    each = (np.interp(np.interp(low, torque, MORE), MORE, long) for torque, long in tables)
    return float(np.dot(naturals, list(each)))


def _turn(tables, lengths) -> float:
    naturals = [length / long[0] for length, (_, long) in zip(lengths, tables, strict=True)]
    return _length(tables, naturals, 36.5) - _length(tables, naturals, 37.5)


@pytest.mark.parametrize("degrees", [10.0, 20.0, 30.0])
def test_married_ends_take_turns_as_the_rope_they_are(heath: Plan, degrees: float) -> None:
    """Counted as not laid yet they make a turn do up to 4 % less than a rope's geometry has it.

    The rope: body and married ends in series under one torque, these laid by hand at an angle and
    in balance, no servings.
    """
    prepared, q = _prepared(heath), at_mean(heath.parameters)
    model, ropes = prepared.model, Ropes(prepared)
    load, pull = model.line.measuring_load, q["drag"] * ropes.strands
    thin, thick = ropes.bundles(ropes.strands), ropes.bundles(ropes.thick)
    by_hand = hand_rate_for(float(pull[0]), np.radians(degrees), thick)
    laid = balanced_lay(pull, 1.0, np.array([by_hand]), thick).value

    def rope(bundles, lay, hand):
        many = np.full((2, len(MORE)), [[load], [hand]])
        span = held_ends(many[0], 1.0, lay + MORE, many[1], bundles).value
        return span.torque, span.length

    def unlaid(strands: float):
        one = model.strand_set(q)
        one = replace(one, stiffness=one.stiffness * strands)
        span = span_length(load, 1.0, MORE[:, None], model.twist_radius(q) * strands**0.5, one)
        return span.torque[:, 0], span.length[:, 0]

    lengths = (model.layout.lengths.sum() - 2.0 * ropes.married, 2.0 * ropes.married)
    true = _turn((rope(thin, 0.0, 0.0), rope(thick, laid.lay_turns, by_hand)), lengths)
    ours = _turn((unlaid(1.0), unlaid(1.5)), lengths)
    assert 0.96 < ours / true < 1.0
