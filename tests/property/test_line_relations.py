"""Relations that a line must keep for any sizes, loads and turns."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import fminbound

from sample_line import BENCH, BLEND, INCH, LBF, LOADS, line, model, parameters, serving, unknowns
from strandwright.fibre.settling import REFERENCE_LOAD
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import StrandSet, span_length
from strandwright.geometry.belt import belt_length
from strandwright.line.build import (
    Outcome,
    Settings,
    build,
    map_position,
    marking_edges,
    naturals_for,
    posts_for,
)
from strandwright.line.convert import Condition, convert, length_at
from strandwright.line.model import LineModel
from strandwright.line.parts import Bench, Loop, ServingThread
from strandwright.line.route import Loads, Order, Pins, make_route
from strandwright.line.states import ClosedCase, StageState
from strandwright.line.unknowns import Unknowns
from strandwright.line.winding import Posts, wind
from strandwright.numerics.propagation import propagate
from strandwright.numerics.sampling import monte_carlo

ORDERS = st.sampled_from(list(Order))
TURNS = st.floats(0.0, 45.0)
SHARE = st.floats(0.01, 0.99)
LOAD = st.floats(10.0, 400.0).map(lambda pounds: pounds * LBF)
SOFT = st.floats(1.0, 1.5)


def settings_for(made: LineModel, q: Unknowns, turns: float) -> Settings:
    """Posts and marks that make the middle case true to its drawing."""
    naturals = naturals_for(made, q, np.full(1, turns))
    posts = float(posts_for(made, q, naturals)[0])
    edges = marking_edges(made, q, made.wound(q, posts), turns, naturals)
    return Settings(posts, turns, tuple(edges[1:-1]))


def built(made: LineModel, q: Unknowns, turns: float) -> Outcome:
    """Build the line as planned for these unknowns."""
    return build(made, q, settings_for(made, q, turns))


def state(
    made: LineModel, q: Unknowns, naturals: FloatArray, turns: float, load: float, **stage: object
) -> StageState:
    """Give the finished line under another load, or with another detail of the proof stage."""
    proof = replace(made.route.stage("proof"), **stage)  # pyright: ignore[reportArgumentType]
    batch = len(naturals)
    case = ClosedCase(proof, np.full(batch, load), naturals, np.full(batch, turns))
    return made.closed_states(q, [case])[0]


# ------------------------------------------------------------------------------------ the build


@given(ORDERS, TURNS, SHARE, SOFT)
def test_what_is_planned_comes_out(order: Order, turns: float, share: float, soft: float) -> None:
    """Built as planned, every edge of the finished line lies where the drawing has it."""
    made, q = model(order), unknowns(share=share, softening=soft)
    finished = built(made, q, turns).finished
    np.testing.assert_allclose(finished.edges[0], made.layout.edges, atol=1e-9)
    np.testing.assert_allclose(finished.length, made.line.length, atol=1e-9)


@given(ORDERS, TURNS, SHARE)
def test_a_line_turned_end_for_end(order: Order, turns: float, share: float) -> None:
    """Turned on its bench, the line has the same lengths and mirrored edges in every stage."""
    bench = replace(BENCH, far_post=0.75 * INCH)
    other = replace(bench, zero_post=bench.far_post, far_post=bench.zero_post)
    made = model(order, bench)
    pins = Pins(other.zero_post, other.far_post, other.loop_pin, made.line.pin_diameter)
    turned = LineModel(made.line.turned(), BLEND, other, make_route(order, LOADS, pins))
    q = unknowns(share=share)
    one, two = built(made, q, turns), built(turned, q, turns)
    for key, stage in one.stages.items():
        mirror = two.stages[key]
        np.testing.assert_allclose(mirror.length, stage.length, atol=1e-10)
        np.testing.assert_allclose(
            stage.length[0] - mirror.edges[0][::-1], stage.edges[0], atol=1e-10
        )
    assert made.line.turned().turned() == made.line or np.isclose(
        made.line.turned().turned().servings[1].start, made.line.servings[1].start
    )


@given(ORDERS, TURNS, st.floats(0.3, 3.0))
def test_a_line_drawn_to_another_scale(order: Order, turns: float, k: float) -> None:
    """All sizes times k, forces k^2, masses a length k^2, posts' give k: lengths times k."""
    made, q = model(order), unknowns()
    scaled = scaled_model(made, k)
    one, two = built(made, q, turns), built(scaled, scaled_unknowns(q, k), turns)
    for key, stage in one.stages.items():
        np.testing.assert_allclose(two.stages[key].length, k * stage.length, rtol=1e-9)
        np.testing.assert_allclose(two.stages[key].edges, k * stage.edges, rtol=1e-8)
    np.testing.assert_allclose(two.skein.load, k**2 * one.skein.load, rtol=1e-7)


def scaled_model(made: LineModel, k: float) -> LineModel:
    """Give the model with all sizes times k and all forces times k squared."""

    def loop(one: Loop) -> Loop:
        return replace(one, perimeter=k * one.perimeter, leg_thickness=k * one.leg_thickness,
                       throat_offset=k * one.throat_offset)  # fmt: skip

    def thread(one: ServingThread) -> ServingThread:
        return replace(one, diameter=k * one.diameter, stiffness=k**2 * one.stiffness,
                       tension=k**2 * one.tension)  # fmt: skip

    was, bench = made.line, made.bench
    now = replace(
        was,
        length=k * was.length,
        zero=loop(was.zero),
        far=loop(was.far),
        servings=tuple(
            replace(s, start=k * s.start, stop=k * s.stop, thread=thread(s.thread))
            for s in was.servings
        ),
        marks=tuple(replace(m, position=k * m.position) for m in was.marks),
        measuring_load=k**2 * was.measuring_load,
        pin_diameter=k * was.pin_diameter,
    )
    stock = replace(made.stock, linear_density=k**2 * made.stock.linear_density,
                    break_load=k**2 * made.stock.break_load)  # fmt: skip
    jig = replace(bench, zero_post=k * bench.zero_post, far_post=k * bench.far_post,
                  loop_pin=k * bench.loop_pin, longest=k * bench.longest)  # fmt: skip
    times = ("stretch_dwell", "second_dwell", "rest", "serve_dwell")
    loads = Loads(*(getattr(LOADS, n) * (1.0 if n in times else k**2)
                    for n in Loads.__dataclass_fields__))  # fmt: skip
    pins = Pins(jig.zero_post, jig.far_post, jig.loop_pin, now.pin_diameter)
    return LineModel(now, stock, jig, make_route(made.route.order, loads, pins))


def scaled_unknowns(q: dict[str, FloatArray], k: float) -> dict[str, FloatArray]:
    """Scale the unknowns that are forces or lengths; bedding-in is told at one fixed load."""
    powers = {"stiffness": 2, "bedding_scale": 2, "drag": 2, "post_stiffness": 1,
              "setting_error": 1, "loop_error": 1}  # fmt: skip
    scaled = {name: value * k ** powers.get(name, 0) for name, value in q.items()}

    def full(scale: FloatArray) -> FloatArray:
        return 1.0 - np.exp(-REFERENCE_LOAD / scale)

    for name in ("bedding", "reopening"):
        scaled[name] = q[name] * full(scaled["bedding_scale"]) / full(q["bedding_scale"])
    return scaled


@given(ORDERS, TURNS, st.floats(1.0, 13.0))
def test_a_serving_wound_in_two_parts(order: Order, turns: float, cut: float) -> None:
    """Two servings of one thread that meet are one serving; a cut changes nothing."""
    q = unknowns()
    whole = model(order)
    first, *rest = whole.line.servings
    parts = (serving("low", 0.0, 1.0 + cut), serving("high", 1.0 + cut, 15.0))
    split = model(order, servings=(*parts, *rest))
    assert first.stop == parts[1].stop
    one, two = built(whole, q, turns), built(split, q, turns)
    for key, stage in one.stages.items():
        np.testing.assert_allclose(two.stages[key].length, stage.length, atol=1e-10)
        kept = two.stages[key].edges
        if kept.shape != stage.edges.shape:
            kept = np.delete(kept, 1, axis=1)
        np.testing.assert_allclose(kept, stage.edges, atol=1e-10)


@given(ORDERS)
def test_a_line_without_turns_is_straight(order: Order) -> None:
    """No turns: every segment stretches alike, by the strand's strain, and holds no torque."""
    made, q = model(order), unknowns()
    finished = built(made, q, 0.0).finished
    assert finished.spans is not None
    strain = made.strain(q, np.array([made.line.measuring_load]))
    expected = np.broadcast_to(1.0 + strain[:, None], finished.spans.length.shape)
    np.testing.assert_allclose(finished.spans.length, expected, rtol=1e-12)
    np.testing.assert_array_equal(finished.spans.torque, 0.0)


@given(ORDERS, st.floats(5.0, 45.0))
def test_all_turns_are_somewhere(order: Order, turns: float) -> None:
    """Turns of the segments add up to the turns put in."""
    made, q = model(order), unknowns()
    naturals = naturals_for(made, q, np.full(1, turns))
    rates = state(made, q, naturals, turns, 100 * LBF).turn_rates[0]
    assert float(rates[made.layout.kinds] @ naturals[0]) == pytest.approx(turns, rel=1e-12)


@given(TURNS, st.lists(st.floats(-5.0, 70.0), min_size=1, max_size=30))
def test_a_map_between_two_states_goes_back(turns: float, inches: list[float]) -> None:
    """Places carried from any recorded state to any other and back come home within 1e-9 in."""
    made, q = model(Order.STRETCH_TWIST_SERVE), unknowns()
    outcome = built(made, q, turns)
    states = [s.edges[0] for s in outcome.stages.values() if s.edges.shape[1] > 2]
    assert len(states) >= 2
    places = np.array(inches) * INCH
    for here in states:
        for there in states:
            back = map_position(map_position(places, here, there), there, here)
            np.testing.assert_allclose(back, places, atol=1e-9 * INCH)


# ----------------------------------------------------------------------------------- directions


@given(ORDERS, TURNS, SHARE, LOAD, st.floats(1.01, 3.0))
def test_more_load_is_longer(
    order: Order, turns: float, share: float, load: float, more: float
) -> None:
    """A closed line grows with the load, whatever its turns."""
    made, q = model(order), unknowns(share=share)
    naturals = naturals_for(made, q, np.full(1, turns))
    light, heavy = (state(made, q, naturals, turns, f).length[0] for f in (load, more * load))
    assert heavy > light


@given(ORDERS, st.floats(0.2, 0.35), st.floats(0.01, 0.1))
def test_thicker_pins_read_shorter(order: Order, pin: float, more: float) -> None:
    """The same line on thicker pins reads shorter, by more than a bare ring would."""
    made, q = model(order), unknowns()
    naturals = naturals_for(made, q, np.full(1, 29.0))
    thin, thick = (
        state(made, q, naturals, 29.0, 100 * LBF, zero_pin=d * INCH, far_pin=d * INCH).length[0]
        for d in (pin, pin + more)
    )
    assert thin - thick > (np.pi / 2 - 1) * more * INCH


@given(st.floats(0.2, 1.0), st.floats(0.05, 0.5))
def test_thicker_posts_read_shorter(post: float, more: float) -> None:
    """A bare skein of one natural length reads shorter over thicker posts."""

    def reading(diameter: float) -> float:
        bench: Bench = replace(BENCH, zero_post=diameter * INCH, far_post=diameter * INCH)
        made = model(bench=bench)
        round_natural = np.array([115.0 * INCH])
        bare = made.route.stage("bare")
        return float(made.bare_state(unknowns(), bare, round_natural).length[0])

    expected = -(np.pi / 2 - 1) * more * INCH
    assert reading(post + more) - reading(post) == pytest.approx(expected, rel=1e-9)


@given(ORDERS, st.floats(0.0, 40.0), st.floats(0.1, 5.0), SHARE)
def test_more_turns_are_shorter(order: Order, turns: float, more: float, share: float) -> None:
    """At one natural length and load, turns shorten."""
    made, q = model(order), unknowns(share=share)
    naturals = naturals_for(made, q, np.full(1, turns))
    few, many = (state(made, q, naturals, n, 100 * LBF).length[0] for n in (turns, turns + more))
    assert many < few


@given(
    ORDERS,
    st.sampled_from(["bedding", "creep", "recovery", "reopening", "own_proof"]),
    st.floats(1e-4, 2e-3),
)
def test_what_settles_lengthens(order: Order, name: str, more: float) -> None:
    """More bedding-in, creep or strain still to recover makes the built line longer."""
    made, q = model(order), unknowns()
    settings = settings_for(made, q, 29.0)
    scale = 100.0 if name == "recovery" else 1.0
    changed = q | {name: q[name] + more * scale}
    assert build(made, changed, settings).finished.length > made.line.length


@given(st.floats(1.0, 30.0))
def test_warmth_shortens_blend_and_polyethylene(kelvin: float) -> None:
    """A fibre that shrinks when warm, read with a steel tape that grows, reads shorter."""
    made, q = model(), unknowns()
    settings = settings_for(made, q, 29.0)
    cool, warm = (build(made, unknowns(warmth=w), settings) for w in (0.0, kelvin))
    shorter = warm.stages["proof"].length[0] - cool.stages["proof"].length[0]
    # The loops keep their finished perimeter, so the body takes the change of half a round.
    half_round = made.line.length + 0.25 * (made.line.zero.perimeter + made.line.far.perimeter)
    expected = (BLEND.expansion - BENCH.tape_expansion) * kelvin * half_round
    assert shorter == pytest.approx(expected, rel=0.01)
    # The line by itself is what it is at the temperature it was wound at.
    proof = made.route.stage("proof")
    here, there = (made.growth(unknowns(warmth=w), proof, rested=True) for w in (0.0, kelvin))
    np.testing.assert_array_equal(here, there)


@given(SHARE, LOAD, st.floats(1.0, 45.0))
def test_a_share_lies_between_its_limits(share: float, load: float, turns: float) -> None:
    """Fixed strands make the shortest line, fully shared ones the longest."""
    made = model(Order.TWIST_THEN_SERVE)
    naturals = made.layout.lengths[None, :] * 0.998
    fixed, some, shared = (
        float(state(made, unknowns(share=s, softening=1.0), naturals, turns, load).length[0])
        for s in (0.0, share, 1.0)
    )
    # Only slack strands set the limits apart; while all are taut they cross within the variance
    # of the paths, some micrometres.
    assert fixed - 2e-5 <= some <= shared + 2e-5


@given(LOAD, st.floats(0.0, 70.0), SHARE, st.floats(1.0, 1.6), st.floats(0.05, 0.95))
def test_a_span_cut_in_two(
    load: float, turns: float, share: float, soft: float, cut: float
) -> None:
    """Two parts of a span with their parts of the turns make up its length, torque unchanged."""
    radii = np.sqrt((np.arange(24) + 0.5) / 24)
    strands = StrandSet(radii, np.array(12360.0), np.array(soft), 0.025, np.array(share))
    parts = np.array([1.0, cut, 1.0 - cut])
    span = span_length(load, 1.5 * parts, turns * parts, 0.0013, strands)
    assert float(span.length[1] + span.length[2]) == pytest.approx(float(span.length[0]), rel=1e-12)
    np.testing.assert_allclose(span.torque, span.torque[0], rtol=1e-9)


@given(st.floats(2.0, 400.0), st.floats(0.0, 2.0), SHARE, st.floats(1.0, 1.9))
def test_every_span_is_solved(pounds: float, rate: float, share: float, soft: float) -> None:
    """To two turns an inch and any softening the strands' pull balances the load."""
    radii = np.sqrt((np.arange(24) + 0.5) / 24)
    strands = StrandSet(radii, np.array(12360.0), np.array(soft), 0.025, np.array(share))
    load, turns, radius = pounds * LBF, rate / INCH, 0.0013
    span = span_length(load, 1.0, turns, radius, strands)
    strain = np.maximum(span.strains, 0.0)
    if strain.max() > 0.025:
        return
    tension = 12360.0 * strain * (1 + (soft - 1) * (1 - strain / 0.025))
    path = np.hypot(1.0, 2 * np.pi * turns / span.length * radius * radii)
    assert float((tension / path).sum()) == pytest.approx(load, rel=1e-8)


# -------------------------------------------------------------------------------------- winding


@given(st.floats(0.5, 3.0), st.floats(0.006, 0.03), st.floats(0.006, 0.03), st.floats(0.0, 0.004))
def test_stiff_posts_wind_the_belt(
    setting: float, zero: float, far: float, strain: float
) -> None:
    """On posts that do not give, a round is the belt less the strain of the drag."""
    posts = Posts(zero, far, np.array(0.0004))
    skein = wind(setting, posts, 24, strain, 12360.0, 1e15)
    centres = setting - 0.5 * (zero + far)
    belt = float(belt_length(centres, 0.5 * zero + 0.0004, 0.5 * far + 0.0004))
    assert float(skein.natural_loop) == pytest.approx(belt / (1 + strain), rel=1e-9)
    assert float(skein.spread) == pytest.approx(0.0, abs=1e-9)
    assert int(skein.slack_passes) == 0
    assert float(skein.load) == pytest.approx(24 * 12360.0 * strain, rel=1e-6, abs=1e-9)


@given(st.integers(2, 40), st.floats(2e4, 5e6), st.floats(0.0002, 0.004), st.floats(0.3, 3.0))
def test_winding_against_energy_pass_by_pass(
    passes: int, give: float, strain: float, setting: float
) -> None:
    """Posts and passes come to rest where the energy of posts and taut strands is least.

    Every pass is drawn on at the drag until the posts have come to rest under it; SciPy finds
    the rest position from energy, with no use of forces, slopes or a count of slack passes.
    """
    stiffness = 12360.0
    posts = Posts(0.0127, 0.0127, np.array(0.0004))
    skein = wind(setting, posts, passes, strain, stiffness, give)
    half = 0.5 * float(posts.loop_length(setting))
    laid: list[float] = []
    position = 0.0
    for _ in range(passes):
        starts = np.array(laid)

        def energy(x: float, starts: np.ndarray = starts) -> float:
            strains = np.maximum(strain - (x - starts) / half, 0.0)
            stored = 0.5 * give * x**2 + 0.5 * stiffness * half * float((strains**2).sum())
            return stored - stiffness * strain * x

        position = float(
            fminbound(energy, position, position + stiffness * strain / give + 1e-6, xtol=1e-13)  # pyright: ignore[reportArgumentType]
        )
        laid.append(position)
    allowed = 2e-7 * (1 + half)  # a minimum is found to the root of the rounding only
    assert float(skein.approach) == pytest.approx(position, abs=allowed)
    mean = 2 * (half - np.mean(laid)) / (1 + strain)
    assert float(skein.natural_loop) == pytest.approx(mean, abs=2 * allowed)
    left = strain - (position - np.array(laid)) / half
    clear = np.abs(left) * half > 20 * allowed
    assert int(skein.slack_passes) >= int((left[clear] < 0).sum())
    assert int(skein.slack_passes) <= int((left < 20 * allowed / half).sum())
    assert float(skein.load) == pytest.approx(give * position, abs=give * allowed)


@given(st.integers(2, 40), st.floats(2e4, 5e6), st.floats(0.0, 0.004))
def test_posts_that_give_wind_shorter(passes: int, give: float, strain: float) -> None:
    """A give of the posts only shortens, and by no more than the approach at both ends."""
    posts = Posts(0.0127, 0.0127, np.array(0.0004))
    stiff, soft = (wind(1.5, posts, passes, strain, 12360.0, k) for k in (1e15, give))
    lost = float(stiff.natural_loop - soft.natural_loop)
    assert -1e-12 <= lost <= 2.0 * float(soft.approach) + 1e-12


# ----------------------------------------------------------------------------------- conversion


@given(
    st.floats(0.0, 40.0), LOAD, LOAD, st.floats(0.2, 0.4), st.floats(0.2, 0.4),
    st.floats(-20.0, 20.0), SHARE,
)  # fmt: skip
def test_a_reading_converted_there_and_back(
    turns: float, here: float, there: float, one_pin: float, other_pin: float, warmth: float,
    share: float,
) -> None:  # fmt: skip
    """Length at one load, pins and temperature to another and back: the same to 1e-9 in."""
    made, q = model(), unknowns(share=share)
    read = Condition(np.array([here]), one_pin * INCH, one_pin * INCH)
    wanted = Condition(np.array([there]), other_pin * INCH, other_pin * INCH, warmth)
    n = np.full(1, turns)
    carried = float(convert(made, q, 57.0 * INCH, n, read, wanted)[0])
    back = float(convert(made, q, carried, n, wanted, read)[0])
    assert back == pytest.approx(57.0 * INCH, abs=1e-9 * INCH)


@given(ORDERS, TURNS)
def test_conversion_agrees_with_the_build(order: Order, turns: float) -> None:
    """At the measuring condition a finished line of these natural lengths reads its length."""
    made, q = model(order), unknowns()
    naturals = naturals_for(made, q, np.full(1, turns))
    pin = made.line.pin_diameter
    at = Condition(np.array([made.line.measuring_load]), pin, pin)
    length = length_at(made, q, naturals, np.full(1, turns), at)
    assert float(length[0]) == pytest.approx(made.line.length, abs=1e-9)


# ---------------------------------------------------------------------------------- uncertainty


@pytest.mark.parametrize("order", list(Order))
def test_propagation_meets_chance(order: Order) -> None:
    """Mean and spread of every stage, propagated, agree with 4000 builds drawn at random.

    The error of a standard deviation from that many draws is 1.1 %; three of those are allowed,
    and 2 % for interactions of the third degree.
    """
    made, known = model(order), parameters()
    middle = known.natural(known.mean[None, :])
    settings = settings_for(made, middle, 29.0)

    def lengths(q: Unknowns) -> dict[str, FloatArray]:
        outcome = build(made, q, settings)
        states = {key: stage.length for key, stage in outcome.stages.items()}
        return states | {"finished": outcome.finished.length}

    carried = propagate(lengths, known, cross_terms=True)
    chance = monte_carlo(lengths, known, 4000, seed=7)
    assert not chance.failures.any()
    np.testing.assert_allclose(carried.second_order, chance.standard_deviation, rtol=0.055)
    error = chance.standard_deviation / np.sqrt(4000)
    assert np.all(np.abs(carried.mean - chance.mean) < 4 * error + 0.02 * carried.second_order)


def test_the_sample_is_whole() -> None:
    """The line of these tests has segments of every sort and passes through every stage."""
    made = model()
    assert {-1, 0, 1, 2, 3} == set(made.layout.serving)
    assert line().servings == made.line.servings
    keys = [s.key for s in made.route.stages]
    assert keys[-1] == "proof" and "marking" in keys and "bare" in keys
