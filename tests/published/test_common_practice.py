"""What builders commonly find; common practice, no source.

Nobody printed these as measurements. They are rules and recipes that pass from bench to bench,
and the model should not contradict them where it covers the same thing.
"""

from importlib.resources import files

import numpy as np
import pytest
from scipy.optimize import brentq

from strandwright.fibre.bundle import bundle_diameter, centre_radii, filled_radii
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import StrandSet, span_length
from strandwright.geometry.belt import belt_length
from strandwright.line.serving_geometry import served_span, tail_length_to_hold
from strandwright.planning.bow.answers import answer_bow
from strandwright.planning.plan_line import plan_line
from strandwright.reference import strand, thread
from strandwright.workshop.job import read_job

INCH = 0.0254
LBF = 4.4482216152605
BUNDLE = 0.1017 * INCH


def _turns(radii: FloatArray, before: float, after: float) -> float:
    """Turns that bring a fully sharing bundle from one length to the other, without load."""
    strands = StrandSet(radii, np.array(1e4), np.array(1.0), 0.025, np.array(1.0))

    def miss(turns: float) -> float:
        return float(span_length(1e-6, before, turns, BUNDLE / 2, strands).length) - after

    return float(np.asarray(brentq(miss, 0.0, 200.0, xtol=1e-9)))


@pytest.mark.parametrize(
    ("which", "radii", "printed"),
    [("area mean", filled_radii(24), "0.386"), ("strand centres", centre_radii(24), "0.396")],
)
def test_a_long_string_wound_three_eighths_over(
    record, which: str, radii: FloatArray, printed: str
) -> None:
    """Posts at 99 in, finished 98 5/8 in over the same 1/2 in posts: the turns that fit.

    Only contraction: nothing stretches or beds in, and half the belt stands for the bundle.
    """
    radius = 0.25 * INCH + 0.5 * 0.018 * INCH
    before, after = (
        0.5 * float(belt_length((outside - 0.5) * INCH, radius, radius))
        for outside in (99.0, 98.625)
    )
    rate = _turns(radii, before, after) / (after / INCH)
    record("Wound at 99 in, finished at 98 5/8 in, bundle of 0.1017 in", f"turns per inch, {which}",
           printed, rate, 1.5e-3,
           "taken from the outside lengths; half a belt is 0.3 in longer than these")  # fmt: skip
    assert 0.25 <= rate <= 0.75, "outside what builders put in"


@pytest.mark.parametrize(("name", "told", "tested"), [("hmpe", 100, "71"), ("hmpe-lcp", 70, "69")])
def test_strands_told_and_tested(record, name: str, told: float, tested: str) -> None:
    """Strands are told of as 100 lb and 70 lb; tests found 71 and 69, and those are planned with.

    An HMPE strand at its name would make the safe load 40 % too large.
    """
    ours = strand(name).break_load.value / LBF
    record("Breaking load of one strand, tested", name, tested, ours, 1.0,
           "printed in whole pounds, kept in newtons", "lbf")  # fmt: skip
    assert ours <= told


def test_six_inches_of_tail_hold() -> None:
    """A tag end of 6 in under a serving holds its strand at a 300 lbf stretch three times over.

    It would hold even the breaking load of the strand.
    """
    blend, braid = strand("hmpe-lcp"), thread("braid-018")
    core = bundle_diameter(
        24, blend.linear_density.value, blend.density.value, blend.served_packing.value
    )
    span = served_span(
        core, braid.diameter.value, braid.flattening.value, braid.wrap_tension.value
    )
    width = bundle_diameter(
        1, blend.linear_density.value, blend.density.value, blend.served_packing.value
    )
    friction = (blend.friction.value, blend.thread_friction.value)
    stretch, breaking = (
        float(tail_length_to_hold(span, pull, width, *friction))
        for pull in (300 * LBF / 24, blend.break_load.value)
    )
    assert 3.0 * stretch < 6 * INCH
    assert breaking < 6 * INCH


def test_the_next_turn_of_a_compound_string(record) -> None:
    """58 in at half a turn an inch: the next full turn takes about 1/32 in, told of as a rule."""
    strands = StrandSet(filled_radii(24), np.array(12360.0), np.array(1.0), 0.025, np.array(1.0))
    radius = 0.5 * 0.100 * INCH
    lengths = [
        float(span_length(100 * LBF, 58 * INCH, n, radius, strands).length) for n in (38.5, 39.5)
    ]
    record("58 in string of 24 strands, 0.100 in across", "next turn at 0.67 turns/in", "0.033",
           (lengths[0] - lengths[1]) / INCH, 1e-3, "small-angle rule", "in")  # fmt: skip


@pytest.mark.parametrize(
    "order",
    [
        "serve, then twist",
        "twist, stretch, then serve",
        "stretch, twist, stretch, then serve",
    ],
)
def test_the_plan_of_the_long_string_meets_the_trade(order: str) -> None:
    """Wound at 99 in on 1/2 in posts for 98 5/8 in: the 95 % range of its twist meets the trade's.

    The trade twists such a string 0.4 to 0.75 turns per inch. The plan also says what makes its
    range wide: bedding-in first, and every share of the budget adds up to the whole.
    """
    example = files("strandwright") / "examples" / "scree-at-the-old-mark.toml"
    job = read_job(example.read_text(encoding="utf-8"))
    assert job.line.finished is not None and job.route.wound_at is not None
    assert job.line.finished.si == pytest.approx(98.625 * INCH)
    assert job.route.wound_at.si == pytest.approx(99.0 * INCH)
    assert job.bench.zero_post.si == pytest.approx(0.5 * INCH)
    assert job.makeup.strands == 24
    route = job.route.model_copy(update={"order": order})
    plan = plan_line(job.model_copy(update={"route": route}))
    low, high = (rate * INCH for rate in (plan.twist.rate_low, plan.twist.rate_high))
    assert low < plan.twist.rate * INCH < high
    assert low <= 0.75 and high >= 0.4
    budget = plan.landing.budget
    assert budget[0].parameter == "bedding"
    assert sum(row.share for row in budget) == pytest.approx(1.0)
    u = sum(row.standard_uncertainty**2 for row in budget) ** 0.5
    assert u == pytest.approx(plan.landing.blind.u, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "shortest", "longest"),
    [("scree-string", 85.0, 120.0), ("ridge-string", 50.0, 65.0)],
)
def test_examples_are_as_long_as_the_trades_strings(
    name: str, shortest: float, longest: float
) -> None:
    """Strings of one-cam bows run 85 to 120 in, of two-cam bows 50 to 65 in."""
    job = read_job((files("strandwright") / "examples" / f"{name}.toml").read_text("utf-8"))
    assert job.line.finished is not None
    assert shortest * INCH <= job.line.finished.si <= longest * INCH


def test_the_centre_serving_of_a_compound_crossbow(record) -> None:
    """It is served about 4 in, where rail, latch and cocking hooks touch: 3 to 5 in.

    Ours is the string over the rail at the latch, its doubt, and room for the hooks of a cocking
    aid, which is from memory.
    """
    name = "fell-string"
    job = read_job((files("strandwright") / "examples" / f"{name}.toml").read_text("utf-8"))
    answers = answer_bow(job, plan_line(job))
    centre = next(cover for cover in answers.covers if cover.name == "centre")
    assert centre.wanted_start is not None and centre.wanted_stop is not None
    ours = (centre.wanted_stop - centre.wanted_start) / INCH
    record("Centre serving of a compound crossbow", "length", "4", ours, 1.0,
           "told as about 4 in, of a contact zone of 3 to 5 in", "in")  # fmt: skip
