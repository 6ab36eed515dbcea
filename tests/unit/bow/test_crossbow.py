"""Crossbows, of limbs alone and with wheels: mirror images that end at a latch."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest

from strandwright.bow.bent import BentBow, RecurvedTip, string_up
from strandwright.bow.bent_family import BentFamily, BentKnown, bent_taken, fit_bent_family
from strandwright.bow.contact import contact_map
from strandwright.bow.draw_cycle import draw_cycle, redraw
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.family import Family, Known, Spread, fit_family, taken
from strandwright.bow.figures import figures
from strandwright.bow.rail import RAIL, half_on_rail, on_rail
from strandwright.bow.sensitivity import FOLLOWED, respond
from strandwright.bow.systems import Sizes, System, lay_out
from strandwright.bow.taper import Stations, power_taper
from strandwright.errors import SpecError

INCH, LBF = 0.0254, 4.4482216152605
RAIL_WIDE = (INCH, 0.0)
WEIGHT = 200.0 * LBF
PROD = BentKnown(
    True, 36 * INCH, 7 * INCH, 20 * INCH, (WEIGHT, 0.015 * WEIGHT), 0.0, 2.5e5, 0.004, RAIL_WIDE
)
PROD_PRIOR = {
    "riser": Spread(4.7 * INCH, 1.1 * INCH),
    "set_forward": Spread(0.0, 0.8 * INCH),
    "lean": Spread(np.radians(8), np.radians(5)),
    "tip": Spread(2.9 * INCH, 0.4 * INCH),
    "tip_turn": Spread(np.radians(30), np.radians(10)),
}
STROKE = 13.5 * INCH
WHEELED = {
    "link": Spread(7 * INCH, 0.2),
    "lean": Spread(np.radians(50), np.radians(12)),
    "limb_stiffness": Spread(800.0, 0.5),
    "string_tension": Spread(180 * LBF, 0.35),
    "string_lever": Spread(1.5 * INCH, 0.2),
    "string_throw": Spread(0.2, 0.12),
    "cable_lever": Spread(0.6 * INCH, 0.25),
    "cable_throw": Spread(0.3, 0.12),
    "cable_lag": Spread(0.0, 0.15),
    "turn": Spread(np.radians(200), 0.1),
}


@cache
def prods() -> BentFamily:
    """A small family of crossbows of limbs alone."""
    return fit_bent_family(PROD, PROD_PRIOR, 6)


@cache
def wheeled(system: System) -> Family:
    """A small family of crossbows with wheels."""
    peak = 175.0 * LBF
    prior = dict(WHEELED)
    if system == "slaved two-cam":
        prior["control_lever"] = Spread(0.12 * INCH, 0.4)
    exact = {
        "axle_to_axle": 20 * INCH,
        "brace_height": 7 * INCH,
        "nock_height": 0.0,
        "string_stiffness": 2.2e5,
        "cable_stiffness": 2.2e5,
        "thickness": 0.12 * INCH,
    }
    for name in (field.name for field in fields(Sizes)):
        if name not in prior and name not in exact:
            exact[name] = 0.01 if name.endswith("_lever") or name == "idler" else 0.0
    known = Known(
        system,
        tuple(sorted(exact.items())),
        (
            ("peak", (peak, 0.015 * peak)),
            ("holding", (0.9 * peak, 0.1 * peak)),
            ("stored_energy", (0.72 * peak * STROKE, 0.06 * peak * STROKE)),
            # Limbs wound farther back are near tipping, where rounding is no longer small.
            ("limb_bend", (np.radians(28.0), np.radians(8.0))),
        ),
        (7 * INCH + STROKE, 0.0),
        rail=RAIL_WIDE,
    )
    return fit_family(known, prior, 8)


@pytest.fixture(scope="module", params=["prod", "two-cam", "slaved two-cam"])
def crossbow(request: pytest.FixtureRequest) -> Family | BentFamily:
    """A small family of crossbows of each kind."""
    return prods() if request.param == "prod" else wheeled(request.param)


def test_left_and_right_are_mirror_images(crossbow: Family | BentFamily) -> None:
    """The string's centre never leaves the rail's middle; both sides pull alike, to rounding."""
    cycle, rig = crossbow.cycle, crossbow.strung.rig
    assert np.abs(crossbow.figures.nock_travel).max() < 1e-9
    assert np.abs(np.sin(cycle.q[:, :, rig.bearing])).max() < 1e-9
    right, left = (cycle.q[:, :, cut] for cut in rig.limbs)
    np.testing.assert_allclose(right, left, rtol=1e-8, atol=1e-9)
    string = cycle.tension[:, :, rig.of_line == 0]
    np.testing.assert_allclose(string[:, :, 0], string[:, :, 1], rtol=1e-8)
    assert np.abs(crossbow.figures.timing).max() < 1e-8


def test_what_one_side_does_the_other_does_mirrored(crossbow: Family | BentFamily) -> None:
    """A length given left does to every figure what it does given right, but sideways."""
    table = respond(crossbow.cycle).table()
    odd = [FOLLOWED.index(name) for name in ("timing", "centring")]
    even = [k for k in range(len(FOLLOWED)) if k not in odd]
    for pair in range(0, table.shape[2], 2):
        a, b = table[:, :, pair], table[:, :, pair + 1]
        np.testing.assert_allclose(a[:, even], b[:, even], rtol=1e-6, atol=1e-9)
        np.testing.assert_allclose(a[:, odd], -b[:, odd], rtol=1e-6, atol=1e-7)
    # Half of what one half of the string is longer, its centre lies nearer the other side.
    centring = table[:, FOLLOWED.index("centring")]
    np.testing.assert_allclose(centring[:, 0], 0.5, atol=0.01)


def test_it_draws_what_was_asked_and_ends_at_its_latch(crossbow: Family | BentFamily) -> None:
    """Draw weight as asked within its +-, over the power stroke; no stop ends the draw."""
    known, read = crossbow.known, crossbow.figures
    assert crossbow.strung.bow.stops == ()
    if isinstance(known, BentKnown):
        wanted, u, stroke = *known.weight, known.full - known.brace_height
        np.testing.assert_allclose(read.peak, crossbow.cycle.force[:, -1], rtol=1e-6)
    else:
        wanted, u = dict(known.figures)["peak"]
        stroke = STROKE
    assert np.all(np.abs(read.peak - wanted) < 4 * u)
    np.testing.assert_allclose(read.power_stroke, stroke, atol=5e-5)
    np.testing.assert_array_equal(read.last_force, crossbow.cycle.force[:, -1])


def test_energy_is_the_work_of_the_draw(crossbow: Family | BentFamily) -> None:
    """The area under the force is the energy stored, to a millionth of it."""
    one = np.array([0])
    single = bent_taken(crossbow, one) if isinstance(crossbow, BentFamily) else taken(crossbow, one)
    strung, full = single.strung, single.cycle.draw[:, -1]
    fine = draw_cycle(strung.rig, strung.brace, strung.directions, full, 321).value
    force, step = fine.force[0], (full[0] - fine.draw[0, 0]) / 320
    weights = np.full(321, 2.0)
    weights[1::2] = 4.0
    weights[[0, -1]] = 1.0
    assert step / 3.0 * float(weights @ force) == pytest.approx(fine.energy[0, -1], rel=1e-6)


def test_its_parts_are_left_and_right(crossbow: Family | BentFamily) -> None:
    """Nothing of a crossbow is upper or lower."""
    bow = crossbow.strung.bow
    touched = [touch.on for lane in contact_map(crossbow.cycle) for touch in lane.touches]
    named = [*(m.name for m in bow.mounts), *(line.name for line in bow.lines[1:]), *touched]
    assert all(name.split()[0] in ("left", "right") for name in named)
    assert bow.mounts[0].name == "right limb"


def test_a_longer_line_leaves_the_latch_where_it_is(crossbow: Family | BentFamily) -> None:
    """Its power stroke is longer by what the brace is lower, and differences are as told."""
    natural, step = crossbow.strung.rig.natural.copy(), 1e-5
    string = crossbow.strung.rig.of_line == 0
    natural[:, string] += step
    changed = redraw(crossbow.cycle, natural).value
    np.testing.assert_allclose(changed.draw[:, -1], crossbow.cycle.draw[:, -1], atol=1e-12)
    before, after = crossbow.figures, figures(changed)
    lower = before.brace_height - after.brace_height
    np.testing.assert_allclose(after.power_stroke - before.power_stroke, lower, atol=1e-9)
    response = respond(crossbow.cycle)
    for name, least in (("brace_height", 1e-3), ("peak", 5.0)):
        slope = getattr(response, name)[:, string].sum(axis=1)
        moved = (getattr(after, name) - getattr(before, name)) / step
        np.testing.assert_allclose(moved, slope, rtol=0.02, atol=least)


def test_a_prod_is_the_recurve_of_its_geometry() -> None:
    """Built upright as a recurve of the same limbs, tips and string, it stands and draws alike."""
    family = prods()
    sizes, known = family.sizes, family.known
    k = 2
    tip, riser = float(sizes.tip[k]), float(sizes.riser[k])
    limb = ElasticaLimb(
        0.5 * (known.bow_length - riser) - tip,
        float(sizes.root_stiffness[k]),
        taper=power_taper(1.6, 0.35),
        unstrained=Stations([0.0, 0.5, 1.0], [0.0, 0.0, -2.5 * 68 / 36]),
        elements=2,
        degree=5,
    )
    recurve = BentBow(
        limb,
        limb,
        riser=riser,
        set_forward=float(sizes.set_forward[k]),
        lean=float(sizes.lean[k]),
        tip=RecurvedTip(tip, float(sizes.tip_turn[k]), 0.012),
        string_stiffness=known.string_stiffness,
        string_thickness=known.thickness,
    )
    strung = string_up(recurve, float(family.strung.rig.natural[k].sum()))
    cycle = draw_cycle(strung.rig, strung.brace, strung.directions, np.array([known.full])).value
    assert recurve.bow().mounts[0].name == "upper limb"
    brace = figures(cycle).brace_height
    np.testing.assert_allclose(brace, family.figures.brace_height[k], atol=1e-8)
    np.testing.assert_allclose(cycle.force[0, 1:], family.cycle.force[k, 1:], rtol=1e-6)
    assert cycle.energy[0, -1] == pytest.approx(family.cycle.energy[k, -1], rel=1e-7)


@pytest.mark.parametrize("system", ["two-cam", "slaved two-cam"])
def test_with_wheels_it_is_the_bow_of_its_sizes(system: System) -> None:
    """Laid out upright with the same sizes it pulls alike at every draw: only its names differ."""
    family = wheeled(system)
    upright = lay_out(system, family.sizes)
    full = family.cycle.draw[:, -1]
    cycle = draw_cycle(upright.rig, upright.brace, upright.directions, full).value
    np.testing.assert_allclose(cycle.force, family.cycle.force, rtol=1e-10, atol=1e-9)
    assert [line.name for line in upright.bow.lines] == ["string", "upper cable", "lower cable"]


def test_the_rail_is_touched_from_the_centre_outward(crossbow: Family | BentFamily) -> None:
    """Half the rail's width at rest; at the latch that over the sine of half the string's angle."""
    cycle = crossbow.cycle
    width = np.full(len(cycle.draw), 1.1 * INCH)
    half = half_on_rail(cycle, width)
    stretch = 1.0 + cycle.tension[:, :, 0] / crossbow.strung.rig.stiffness[:, 0, None]
    np.testing.assert_allclose(half[:, 0] * stretch[:, 0], 0.55 * INCH, rtol=1e-9)
    sharp = np.sin(0.5 * crossbow.figures.string_angle)
    np.testing.assert_allclose(half[:, -1] * stretch[:, -1], 0.55 * INCH / sharp, rtol=1e-9)
    lane = contact_map(cycle)[0]
    assert lane.nock is not None
    rail = next(touch for touch in on_rail(lane, cycle, width).touches if touch.on == RAIL)
    np.testing.assert_allclose(lane.nock - rail.start, rail.stop - lane.nock, rtol=1e-9)
    np.testing.assert_allclose(rail.stop - lane.nock, half.max(axis=1), rtol=1e-12)
    order = [touch.on for touch in on_rail(lane, cycle, width).touches]
    assert order[1] == RAIL


def test_members_taken_are_drawn_as_they_were(crossbow: Family | BentFamily) -> None:
    """A member by itself ends at the same latch with the same force."""
    rows = np.array([1])
    one = bent_taken(crossbow, rows) if isinstance(crossbow, BentFamily) else taken(crossbow, rows)
    np.testing.assert_allclose(one.cycle.force[0], crossbow.cycle.force[1], rtol=1e-6, atol=1e-5)
    assert one.strung.bow.stops == ()


def test_a_prod_that_folds_is_refused_in_words() -> None:
    """A draw that no prod of that length stands is no answer and no crash."""
    folded = replace(PROD, bow_length=22 * INCH, brace_height=9 * INCH, full=19.5 * INCH)
    with pytest.raises(SpecError) as told:
        fit_bent_family(folded, PROD_PRIOR, 4)
    assert "check" in told.value.remedy or "measure" in told.value.remedy
