"""Families of bows: they agree with what is known, alike for one seed, and readings narrow them."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from sample_bows import FULL, INCH, drawn, sizes

from strandwright.bow.draw_cycle import draw_cycle
from strandwright.bow.equilibrium import Trouble
from strandwright.bow.family import Family, Known, Spread, fit_family, taken
from strandwright.bow.figures import figures
from strandwright.bow.limb import PivotLimb
from strandwright.bow.rig import Potential, Rig
from strandwright.bow.systems import SYSTEMS, System, lay_out
from strandwright.errors import SpecError

POUND = 4.4482216152605
EXACT = (
    "axle_to_axle", "brace_height", "nock_height", "idler", "string_stiffness",
    "cable_stiffness", "thickness",
)  # fmt: skip
#: Spread of each size; of the logarithm where it is positive.
SPREADS = {
    "link": 0.12, "lean": 0.2, "limb_stiffness": 0.3, "string_tension": 0.2, "string_lever": 0.12,
    "string_throw": 0.1, "cable_lever": 0.15, "cable_throw": 0.15, "cable_second": 0.1,
    "cable_third": 0.05, "cable_lag": 0.2, "control_lever": 0.15, "control_throw": 0.05,
    "follower_lever": 0.1, "follower_throw": 0.05, "turn": 0.08,
}  # fmt: skip
MEMBERS = 24


def prior(system: System) -> dict[str, Spread]:
    """Sizes met with: those of the sample bow, spread about."""
    base = sizes(system)
    return {n: Spread(float(getattr(base, n)[0]), s) for n, s in SPREADS.items()}


def known(system: System) -> Known:
    """Weight, let-off and draw length of a bow of the kind that is not the middle of the prior."""
    changed = {"link": 10.8 * INCH, "cable_lever": 0.8 * INCH, "turn": np.radians(192.0)}
    read = figures(drawn(lay_out(system, sizes(system, **changed))))
    base = sizes(system)
    exact = tuple((n, float(getattr(base, n)[0])) for n in EXACT)
    peak, holding = float(read.peak[0]), float(read.holding[0])
    asked = (("peak", (peak, 0.5 * POUND)), ("holding", (holding, 1.0 * POUND)))
    return Known(system, exact, asked, (FULL, INCH / 16))


@cache
def family(system: System) -> Family:
    """A small family."""
    return fit_family(known(system), prior(system), MEMBERS)


@pytest.mark.parametrize("system", SYSTEMS)
def test_members_agree_with_what_is_known(system: System) -> None:
    """Every member stands, draws to its wall, and has the weight, let-off and length asked for."""
    found = family(system)
    assert found.members >= MEMBERS // 2
    assert found.tried == MEMBERS
    assert set(found.cycle.trouble) == {Trouble.NONE}
    assert np.all(found.misfit < 2.5)
    read = found.figures
    for name, (wanted, u) in found.known.figures:
        off = (getattr(read, name) - wanted) / u
        # Each is fitted to its own draw of what is known, so they scatter by about one.
        assert np.abs(off).max() < 4.5, name
        assert abs(off.mean()) < 0.8, name
        assert off.std() < 1.7, name
    off = (found.cycle.draw[:, -1] - FULL) / (INCH / 16)
    assert abs(off.mean()) < 0.8
    assert off.std() < 1.6
    np.testing.assert_allclose(found.cycle.stop_excess[:, -1].max(axis=1), 0.0, atol=1e-7)
    for name, value in found.known.exact:
        np.testing.assert_array_equal(getattr(found.sizes, name), value)
    np.testing.assert_allclose(read.axle_to_axle, 33 * INCH, rtol=1e-9)


@pytest.mark.parametrize("system", SYSTEMS)
def test_members_differ_in_what_is_not_known(system: System) -> None:
    """What nobody told is spread about: the family does not pretend to know it."""
    found = family(system)
    assert np.log(found.sizes.link).std() > 0.3 * SPREADS["link"]
    assert found.figures.stored_energy.std() > 0.1


def test_the_same_seed_gives_the_same_family() -> None:
    """Asked again, the family is the same to the last bit; another seed gives another."""
    again = fit_family(known("one-cam"), prior("one-cam"), MEMBERS, 1)
    np.testing.assert_array_equal(again.figures.peak, family("one-cam").figures.peak)
    np.testing.assert_array_equal(again.sizes.link, family("one-cam").sizes.link)
    others = fit_family(known("one-cam"), prior("one-cam"), 4, 2)
    assert not np.isin(others.sizes.link, again.sizes.link).any()


def test_a_search_looks_at_a_bow_a_thousand_times_at_most(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Twice that for members that are carried along, and for slopes by following each size anew.

    Looks are counted, not seconds, so that it holds on any machine. One solve of all 41 states of
    a draw is some 170 of them.
    """
    asked, looks = known("two-cam"), [0, 0]
    look = Rig.potential

    def counted(rig: Rig, q: np.ndarray, ways: np.ndarray, **how: bool) -> Potential:
        looks[0] += 1
        looks[1] += len(q)
        return look(rig, q, ways, **how)

    monkeypatch.setattr(Rig, "potential", counted)
    found = fit_family(asked, prior("two-cam"), MEMBERS)
    assert found.members == MEMBERS
    assert looks[1] < 1000 * MEMBERS
    assert looks[0] < 1500, "few at a time cost as much as many"


def test_a_bow_that_cannot_be_is_refused_in_plain_words() -> None:
    """A let-off and a weight that no such bow has are refused, with what to check."""
    asked = known("two-cam")
    (peak, (weight, u)), _ = asked.figures
    never = replace(asked, figures=((peak, (weight, u)), ("holding", (3.0 * weight, u))))
    with pytest.raises(SpecError) as refused:
        fit_family(never, prior("two-cam"), 8)
    said = str(refused.value)
    assert "check" in said
    assert "let-off" in said
    assert "nan" not in said.lower()


def test_points_of_a_draw_board_narrow_it() -> None:
    """Told the force at seven draws, the family knows the stored energy several times as well."""
    asked = known("two-cam")
    changed = {"link": 10.8 * INCH, "cable_lever": 0.8 * INCH, "turn": np.radians(192.0)}
    cycle = drawn(lay_out("two-cam", sizes("two-cam", **changed)), 41)
    board = tuple(
        (float(cycle.draw[0, i]), float(cycle.force[0, i]), 0.5 * POUND)
        for i in (6, 11, 16, 21, 26, 31, 36)
    )
    told = fit_family(replace(asked, board=board), prior("two-cam"), MEMBERS)
    loose = family("two-cam").figures.stored_energy
    tight = told.figures.stored_energy
    assert tight.std() < 0.5 * loose.std()
    assert abs(tight.mean() - cycle.energy[0, -1]) < 4.0 * max(tight.std(), 0.2)


def _off_middle() -> Known:
    """The same bow with its nocking point 1 1/2 in over the pivot, so that its wheels part."""
    asked = known("two-cam")
    exact = dict(asked.exact) | {"nock_height": 1.5 * INCH}
    (peak, (weight, u)), _ = asked.figures
    holding = ("holding", (0.2 * weight, u))
    return replace(asked, exact=tuple(exact.items()), figures=((peak, (weight, u)), holding))


@cache
def loose_family() -> Family:
    """A family of such bows, of whose timing nothing is known."""
    return fit_family(_off_middle(), prior("two-cam"), MEMBERS)


def test_wheels_that_are_known_to_be_in_time_do_not_part() -> None:
    """Left to themselves some part by tens of degrees in a deep valley; a bow in use is in time."""
    asked, u = _off_middle(), np.radians(2.5)
    in_time = (("timing", (0.0, u)), ("timing_midway", (0.0, 2.0 * u)))
    loose = loose_family()
    found = fit_family(
        replace(asked, figures=(*asked.figures, *in_time)), prior("two-cam"), MEMBERS
    )
    parted = [np.degrees(np.abs(one.figures.timing).max(axis=1)) for one in (loose, found)]
    assert parted[0].max() > 20.0
    assert parted[1].max() < 30.0
    assert np.median(parted[1]) < 0.5 * np.median(parted[0])
    off = found.figures.timing[:, -1] / u
    # Its own draw of what is known, and three standard uncertainties of misfit.
    assert np.abs(off).max() < 5.5
    assert np.all(found.misfit < 3.0)
    assert set(found.cycle.trouble) == {Trouble.NONE}


def test_limbs_known_not_to_be_bent_far_stand_firm() -> None:
    """Springs wound far back hardly answer, and limbs on them nearly tip along the string."""
    asked = known("two-cam")
    spread = prior("two-cam") | {"limb_stiffness": Spread(150.0, 0.4)}
    bend = (np.radians(28.0), np.radians(6.0))
    told = replace(asked, figures=(*asked.figures, ("limb_bend", bend)))
    loose, firm = (fit_family(one, spread, MEMBERS) for one in (asked, told))
    turned, kept = _bend(loose), _bend(firm)
    assert turned.max() > 1.0
    assert abs(kept.mean() - bend[0]) < 2.0 * bend[1]
    assert np.abs((kept - bend[0]) / bend[1]).max() < 5.5
    assert np.mean(_firmness(loose) < 0.2) > 0.3
    assert np.mean(_firmness(firm) < 0.2) < 0.15


def _bend(found: Family) -> np.ndarray:
    """Turn of the upper link at brace from where its spring is slack."""
    limb = found.strung.bow.mounts[0].limb
    assert isinstance(limb, PivotLimb)
    return found.strung.brace[:, 0] - np.asarray(limb.rest_angle)


def _firmness(found: Family) -> np.ndarray:
    """Least stiffness against any push at brace, over that of a limb's spring."""
    hessian = found.strung.rig.potential(found.strung.brace, found.strung.directions).hessian
    return np.linalg.eigvalsh(hessian)[:, 0] / found.sizes.limb_stiffness


def test_what_only_its_stops_hold_is_no_bow() -> None:
    """Members stand without their stops all the way: a bow's wheels are not pressed before it."""
    found = loose_family()
    free = lay_out("two-cam", found.sizes)
    out = draw_cycle(free.rig, free.brace, free.directions, found.cycle.draw[:, -1], 9)
    assert set(out.value.trouble) == {Trouble.NONE}


def test_some_members_taken() -> None:
    """Members picked out are the bows they were."""
    whole = family("hybrid-cam")
    some = taken(whole, np.array([3, 0]))
    assert some.members == 2
    np.testing.assert_allclose(some.figures.peak, whole.figures.peak[[3, 0]], rtol=1e-8)
    np.testing.assert_array_equal(some.sizes.link, whole.sizes.link[[3, 0]])
    np.testing.assert_array_equal(some.misfit, whole.misfit[[3, 0]])
