"""A limb under a load at its tip: the short way to its balance is the long way's."""

import numpy as np
import pytest

from strandwright.bow.cantilever import cantilever
from strandwright.bow.elastica import ElasticaLimb, Floats
from strandwright.bow.limb import PivotLimb, Tip
from strandwright.bow.taper import Stations, power_taper, width_taper
from strandwright.bow.tip_load import tip_load

RECURVE = Stations([0.0, 0.6, 1.0], [0.0, -0.2, -2.0])
LIMBS = {
    "uniform": ElasticaLimb(0.8, 20.0, degree=5),
    "recurved": ElasticaLimb(0.8, 20.0, power_taper(3.0, 0.4), RECURVE, elements=2, degree=3),
}
LOADS = np.array([[3.0, 40.0, 0.0], [-20.0, 10.0, 5.0], [0.0, 0.0, -3.0], [0.0, 0.0, 0.0]])


class Unknown:
    """A limb of which only what every limb gives is known."""

    def __init__(self, limb: ElasticaLimb) -> None:
        self._limb = limb
        self.freedoms = limb.freedoms

    def tip(self, q: Floats) -> Tip:
        return self._limb.tip(q)

    def energy(self, q: Floats) -> tuple[Floats, Floats, Floats]:
        return self._limb.energy(q)

    def rest(self) -> Floats:
        return self._limb.rest()

    def shape(self, q: Floats, stations: Floats) -> Floats:
        return self._limb.shape(q, stations)


@pytest.mark.parametrize("name", LIMBS)
@pytest.mark.parametrize("loads", [LOADS, LOADS[:, :2] @ np.eye(2, 3)])
def test_the_short_way_is_the_long_way(name: str, loads: Floats) -> None:
    """Energy and both derivatives of a shared elastica, but for a constant energy."""
    limb = LIMBS[name]
    q = np.random.default_rng(5).normal(0.0, 0.4, (len(loads), limb.freedoms))
    short, long = tip_load(limb, loads), tip_load(Unknown(limb), loads)
    np.testing.assert_allclose(short.gradient(q), long.gradient(q), atol=1e-11)
    for ours, theirs in zip(short.curved(q), long.curved(q), strict=True):
        np.testing.assert_allclose(ours, theirs, atol=1e-11)
    rest = np.zeros_like(q)
    for ours, theirs in ((short.energy, long.energy),):
        np.testing.assert_allclose(ours(q) - ours(rest), theirs(q) - theirs(rest), atol=1e-11)


@pytest.mark.parametrize("name", LIMBS)
def test_both_ways_end_in_the_same_shape(name: str) -> None:
    """From their different starts, to the last digits."""
    force, moment = LOADS[:3, :2], LOADS[:3, 2]
    ours = cantilever(LIMBS[name], force, moment).raise_for_failure()
    theirs = cantilever(Unknown(LIMBS[name]), force, moment).raise_for_failure()
    np.testing.assert_allclose(ours.value, theirs.value, atol=1e-12)


def test_the_start_is_the_answer_where_bending_is_small() -> None:
    """To a small force within the square of the turn, and to any moment exactly."""
    limb = LIMBS["uniform"]
    loads = np.array([[0.0, 0.02, 0.0], [0.0, 0.0, 30.0]])
    found = cantilever(limb, loads[:, :2], loads[:, 2]).raise_for_failure().value
    np.testing.assert_allclose(tip_load(limb, loads).start(), found, atol=1e-9)


@pytest.mark.parametrize("load", [0.5, 4.0, 30.0])
def test_the_start_is_near_however_far_the_limb_bends(load: float) -> None:
    """Within half a radian in every coordinate, where a straight limb is up to five off."""
    limb = ElasticaLimb(1.0, 1.0)
    loads = np.array([[0.0, load, 0.0]])
    found = cantilever(limb, loads[:, :2]).raise_for_failure().value
    assert np.abs(tip_load(limb, loads).start() - found).max() < 0.5


def test_a_coarse_tolerance_leaves_its_square() -> None:
    """Stopped at 1e-4, no coordinate is further off than 1e-8."""
    limb = ElasticaLimb(1.0, 1.0)
    loads = np.linspace(0.1, 10.0, 60)
    force = np.stack([-0.3 * loads, loads], axis=-1)
    coarse = cantilever(limb, force, tolerance=1e-4).raise_for_failure()
    fine = cantilever(limb, force, tolerance=1e-7).raise_for_failure()
    assert np.abs(coarse.value - fine.value).max() < 1e-8
    assert coarse.iterations < fine.iterations


@pytest.mark.parametrize("over", [1.0001, 1.01, 1.2])
@pytest.mark.parametrize("begun", [0.005, 0.1, 1.0])
def test_over_its_buckling_load_a_limb_ends_bent(over: float, begun: float) -> None:
    """However little it is bent to begin with: the straight shape is a balance, but no rest."""
    limb = ElasticaLimb(1.0, 1.0)
    start = limb.rest()
    start[0] = begun
    outcome = cantilever(limb, [-over * np.pi**2 / 4, 0.0], start=start).raise_for_failure()
    tip = abs(float(limb.tip(outcome.value).angle[0]))
    # For small turns the load rises by an eighth of the square of the turn.
    assert tip == pytest.approx(np.sqrt(8.0 * (over - 1.0)), rel=0.1)
    assert outcome.residual[0] < 1e-7


def test_a_link_has_no_short_way() -> None:
    """It starts from its rest."""
    link = PivotLimb(0.6, [30.0, 50.0], rest_angle=-0.2)
    np.testing.assert_array_equal(tip_load(link, np.ones((2, 3))).start(), [[-0.2], [-0.2]])


@pytest.mark.parametrize("force", [[2.0, 20.0], [[2.0, 20.0], [2.0, 20.0]]])
def test_limbs_that_differ_have_no_short_way(force: list[float]) -> None:
    """A family of limbs is bent by what every limb gives, by one load or by each its own."""
    family = ElasticaLimb([0.7, 0.9], [15.0, 30.0], width_taper(0.1), degree=3)
    assert not family.shared
    found = cantilever(family, force).raise_for_failure().value
    for row, length, stiffness in zip(found, [0.7, 0.9], [15.0, 30.0], strict=True):
        alone = ElasticaLimb(length, stiffness, width_taper(0.1), degree=3)
        same = cantilever(alone, [2.0, 20.0]).raise_for_failure().value[0]
        np.testing.assert_allclose(row, same, atol=1e-12)


def test_links_at_rest_at_different_angles_under_one_load() -> None:
    """Each starts from its own rest."""
    links = PivotLimb(0.6, 30.0, rest_angle=[-0.2, 0.1])
    found = cantilever(links, [1.0, 20.0]).raise_for_failure().value[:, 0]
    for turn, rest in zip(found, [-0.2, 0.1], strict=True):
        alone = cantilever(PivotLimb(0.6, 30.0, rest_angle=rest), [1.0, 20.0]).value[0, 0]
        assert turn == pytest.approx(alone, abs=1e-12)
