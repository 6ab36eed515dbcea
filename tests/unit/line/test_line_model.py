"""The model of a line: signs and parts of its sums."""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import BENCH, BLEND, INCH, LBF, model, serving, unknowns
from strandwright.line.build import Settings, build, marking_edges, naturals_for, posts_for
from strandwright.line.parts import Hand
from strandwright.line.route import Order
from strandwright.line.states import ClosedCase
from strandwright.line.unknowns import UNKNOWNS


def test_every_unknown_is_in_the_sample() -> None:
    """The tests know every unknown the model names."""
    assert {name for name, _, _ in UNKNOWNS} <= set(unknowns())


def test_body_and_round_are_inverse() -> None:
    """Natural length of the body gives the round that gives it back, in every stage."""
    made, q = model(), unknowns(3, bedding=np.array([0.001, 0.002, 0.003]))
    for stage in made.route.stages:
        body = np.array([1.40, 1.42, 1.44])
        again = made.body_natural(q, made.round_from_body(q, body, stage), stage, rested=True)
        np.testing.assert_allclose(again, body, rtol=1e-14)


def test_material_is_conserved_when_the_loops_are_closed() -> None:
    """Half a round is the body and half of each loop, stretched or not."""
    made, q = model(), unknowns()
    proof = made.route.stage("proof")
    round_natural = np.array([115 * INCH])
    zero, far = made.loop_naturals(q)
    grown = 1 + made.permanent(q, proof) + made.passing(q, proof) + q["own_proof"]
    body = made.body_natural(q, round_natural, proof)
    np.testing.assert_allclose(2 * body + zero + far, round_natural * grown, rtol=1e-14)


def test_bare_skein_by_hand() -> None:
    """On equal posts: half a round, stretched, less the half circles, plus the posts."""
    made, q = model(), unknowns()
    stage = made.route.stage("bare")
    natural = np.array([115 * INCH])
    strain = made.strain(q, np.array([stage.load]))
    grown = 1 + made.permanent(q, stage) + made.passing(q, stage)
    radius = made.posts(q).radii[0]
    expected = 0.5 * natural * grown * (1 + strain) - np.pi * radius + BENCH.zero_post
    state = made.bare_state(q, stage, natural)
    np.testing.assert_allclose(state.length, expected, rtol=1e-14)
    # Where the throats will be: the loop's strand, laid from the top of the post.
    middle = 0.5 * made.loop_naturals(q)[0] * (1 + strain)
    np.testing.assert_allclose(
        state.edges[:, 0], 0.5 * BENCH.zero_post + middle - 0.5 * np.pi * radius
    )


def test_permanent_strain_by_parts() -> None:
    """Bedding-in at 12.5 lbf a strand is the stated strain; reopening and creep come on top."""
    made = model()
    stage = replace(
        made.route.stage("proof"), highest_load=300 * LBF, highest_twisted=300 * LBF,
        creep_load=300 * LBF, creep_dwell=540.0,
    )  # fmt: skip
    q = unknowns()
    crept = q["creep"] * (300 * LBF / 24 / BLEND.break_load)
    expected = q["bedding"] + q["reopening"] + crept
    np.testing.assert_allclose(made.permanent(q, stage), expected, rtol=1e-12)


def test_recovery_goes_away_and_leaves_the_line_shorter() -> None:
    """The longer the rest after the pulls, the less of them is left; none in the line by itself."""
    made, q = model(), unknowns()
    proof = made.route.stage("proof")
    left = [float(made.passing(q, replace(proof, rest=t))[0]) for t in (0.0, 1800.0, 86400.0)]
    assert left[0] > left[1] > left[2] >= 0.0
    rested = made.growth(q, proof, rested=True)
    assert made.growth(q, replace(proof, rest=1e9)) == pytest.approx(rested, abs=1e-12)


def test_a_gauge_that_shows_too_little_stretches_more() -> None:
    """Gauge is true over shown: above 1, loads are higher than read and bed in more."""
    made = model()
    stage = made.route.stage("bare")
    low, high = (float(made.permanent(unknowns(gauge=g), stage)[0]) for g in (1.0, 1.1))
    assert high > low


def test_packing_makes_the_bundle_thinner() -> None:
    """Denser bundles are thinner, and a serving squeezes the section by its squeeze."""
    made = model()
    loose, dense = (made.core_diameter(unknowns(packing=p), served=False)[0] for p in (0.6, 0.8))
    assert dense < loose
    bare, tight = (made.core_diameter(unknowns(squeeze=1.2), served=s)[0] for s in (False, True))
    assert (bare / tight) ** 2 == pytest.approx(1.2)


def test_served_first_the_bare_parts_take_more_turns() -> None:
    """Thread resists twist: stiffer thread sends more turns to the bare parts."""
    made = model(Order.SERVE_THEN_TWIST)
    naturals = made.layout.lengths[None, :]
    rates: list[np.ndarray] = []
    for stiffness in (1e-9, 1.0, 3.0):
        q = unknowns(thread_stiffness=stiffness)
        case = ClosedCase(
            made.route.stage("proof"), np.array([100 * LBF]), naturals, np.array([29.0])
        )
        rates.append(made.closed_states(q, [case])[0].turn_rates[0])
    bare = [float(r[0]) for r in rates]
    assert bare[0] < bare[1] < bare[2]
    assert float(rates[1][1]) < bare[1]


def test_served_last_the_turns_stay_where_they_are() -> None:
    """Servings laid on a twisted line lock one rate all along."""
    made = model(Order.TWIST_THEN_SERVE)
    case = ClosedCase(
        made.route.stage("proof"), np.array([100 * LBF]), made.layout.lengths[None, :],
        np.array([29.0]),
    )  # fmt: skip
    rates = made.closed_states(unknowns(), [case])[0].turn_rates
    np.testing.assert_allclose(rates, 29.0 / made.layout.lengths.sum(), rtol=1e-14)


def test_serving_squeezes_and_lengthens_a_twisted_line() -> None:
    """A denser core under the servings takes less up, so the line grows when served."""
    q = unknowns()
    bare = model(Order.TWIST_THEN_SERVE)
    naturals = bare.layout.lengths[None, :]
    lengths: list[float] = []
    for served in (False, True):
        stage = replace(bare.route.stage("proof"), served=served)
        case = ClosedCase(stage, np.array([100 * LBF]), naturals, np.array([29.0]))
        lengths.append(float(bare.closed_states(q, [case])[0].length[0]))
    assert lengths[0] < lengths[1] < lengths[0] + 0.1 * INCH


def test_several_stages_at_once_are_each_alone() -> None:
    """Solving stages together gives what each gives by itself."""
    made, q = model(), unknowns(2, share=np.array([0.2, 0.9]))
    naturals = np.tile(made.layout.lengths, (2, 1))
    turns = np.array([10.0, 30.0])
    proof = made.route.stage("proof")
    cases = [
        ClosedCase(proof, np.full(2, 445.0), naturals, turns),
        ClosedCase(replace(proof, served=False), np.full(2, 1300.0), naturals, turns),
    ]
    together = made.closed_states(q, cases)
    for case, state in zip(cases, together, strict=True):
        alone = made.closed_states(q, [case])[0]
        np.testing.assert_allclose(state.length, alone.length, rtol=1e-13)
        np.testing.assert_allclose(state.edges, alone.edges, rtol=1e-12)


def test_each_serving_is_worked_out() -> None:
    """Thread of each serving on the squeezed core; a thicker thread makes a thicker serving."""
    thick = replace(serving("centre", 26.75, 30.5), hand=Hand.Z)
    thick = replace(thick, thread=replace(thick.thread, diameter=0.025 * INCH))
    made = model(servings=(serving("end", 0.0, 10.0), thick))
    thin_span, thick_span = made.servings(unknowns())
    assert thick_span.outside_diameter > thin_span.outside_diameter
    np.testing.assert_array_equal(thick_span.core_diameter, thin_span.core_diameter)


def test_a_pin_too_thick_for_a_loop_is_nan() -> None:
    """An eye that cannot close round its pin has no length."""
    made = model()
    stage = replace(made.route.stage("proof"), zero_pin=1.0 * INCH)
    case = ClosedCase(stage, np.array([445.0]), made.layout.lengths[None, :], np.array([0.0]))
    assert np.isnan(made.closed_states(unknowns(), [case])[0].length[0])


@pytest.mark.parametrize("order", list(Order))
def test_all_stages_are_about_a_line_long(order: Order) -> None:
    """No stage of the sample strays by more than an inch from the finished length."""
    made, q = model(order), unknowns()
    naturals = naturals_for(made, q, np.array([29.0]))
    posts = float(posts_for(made, q, naturals)[0])
    edges = marking_edges(made, q, made.wound(q, posts), 29.0, naturals)
    outcome = build(made, q, Settings(posts, 29.0, tuple(edges[1:-1])))
    for stage in outcome.stages.values():
        assert abs(float(stage.length[0]) - made.line.length) < 1.0 * INCH
    assert float(outcome.stages["bare"].length[0]) > float(outcome.stages["half"].length[0])
    assert float(outcome.stages["half"].length[0]) > float(outcome.stages["proof"].length[0])
