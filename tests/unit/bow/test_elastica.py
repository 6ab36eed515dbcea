"""The elastica limb: derivatives, convergence, mirror and turn, and what is refused."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from limb_derivatives import assert_exact_derivatives

from strandwright.bow.cantilever import cantilever
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.limb import Floats, Limb, PivotLimb
from strandwright.bow.taper import Stations, power_taper, uniform, width_taper
from strandwright.errors import InputError
from strandwright.numerics.outcome import Reason

RECURVE = Stations([0.0, 0.6, 1.0], [0.0, -0.2, -2.0])
LIMBS = {
    "uniform": ElasticaLimb(0.8, 20.0, degree=4),
    "to a point": ElasticaLimb(0.8, 20.0, width_taper(), degree=4),
    "arcs": ElasticaLimb(0.8, 20.0, width_taper(0.2), elements=5, degree=0),
    "recurved": ElasticaLimb(0.8, 20.0, power_taper(3.0, 0.4), RECURVE, elements=2, degree=3),
    "family": ElasticaLimb([0.7, 0.8, 0.9], [15.0, 20.0, 30.0], width_taper(0.1), degree=3),
}


def random_shapes(limb: ElasticaLimb, cases: int = 3, size: float = 1.5) -> Floats:
    """Coordinates at random, the same on every run."""
    return np.random.default_rng(20260301).uniform(-size, size, (cases, limb.freedoms))


def bent(limb: Limb, force: Any, moment: Any = 0.0) -> Floats:
    """Coordinates under a load."""
    return cantilever(limb, force, moment).raise_for_failure("the bent limb").value


# --------------------------------------------------------------------------------- derivatives


@pytest.mark.parametrize("name", LIMBS)
def test_derivatives_are_exact(name: str) -> None:
    """Every first and second derivative is what differences give, for each kind of limb."""
    assert_exact_derivatives(LIMBS[name], random_shapes(LIMBS[name]), 1e-6)


@given(st.lists(st.floats(-3.0, 3.0), min_size=6, max_size=6))
def test_derivatives_are_exact_everywhere(coefficients: list[float]) -> None:
    """They are so for any shape, curled up or not."""
    limb = ElasticaLimb(1.0, 1.0, width_taper(0.3), uniform(-0.5), elements=2, degree=2)
    assert_exact_derivatives(limb, np.array([coefficients]), 1e-6)


def test_energy_is_the_integral() -> None:
    """The quadratic form is the integral of EI times the square of the change of curvature."""
    limb = LIMBS["recurved"]
    q = random_shapes(limb, 1)
    at = (np.arange(400_000) + 0.5) / 400_000
    change = limb.basis.values(at) @ q[0]
    direct = 0.5 * 20.0 / 0.8 * np.mean(limb.taper(at) * change**2)
    assert limb.energy(q)[0][0] == pytest.approx(direct, rel=1e-8)


# ---------------------------------------------------------------------------------- geometry


def test_unstrained_limb() -> None:
    """At rest there is no energy; the tip is where the given curvature leads."""
    arc = ElasticaLimb(0.8, 20.0, unstrained=uniform(-np.pi / 2))
    q = arc.rest()[None]
    energy, gradient, _ = arc.energy(q)
    assert energy[0] == 0.0
    assert not gradient.any()
    tip, radius = arc.tip(q), 0.8 / (np.pi / 2)
    np.testing.assert_allclose(tip.position[0], [radius, -radius], rtol=1e-14)
    assert tip.angle[0] == pytest.approx(-np.pi / 2, rel=1e-14)


def test_kinked_curvature_is_integrated_to_its_stations() -> None:
    """A curvature of straight lines between stations turns the tip by its exact area."""
    tip = LIMBS["recurved"].tip(LIMBS["recurved"].rest()[None])
    assert tip.angle[0] == pytest.approx(-0.5 * 0.6 * 0.2 - 0.4 * (0.2 + 2.0) / 2, rel=1e-14)


@pytest.mark.parametrize("name", LIMBS)
def test_shape_runs_from_root_to_tip(name: str) -> None:
    """The points drawn begin at the root, end at the tip, and keep the limb's length."""
    limb = LIMBS[name]
    q = random_shapes(limb)
    points = limb.shape(q, np.linspace(0.0, 1.0, 4001))
    assert points.shape == (3, 4001, 2)
    np.testing.assert_allclose(points[:, 0], 0.0, atol=1e-16)
    np.testing.assert_allclose(points[:, -1], limb.tip(q).position, atol=1e-13)
    run = np.linalg.norm(np.diff(points, axis=1), axis=-1).sum(axis=1)
    np.testing.assert_allclose(run, np.broadcast_to(limb.length, 3), rtol=1e-6)
    assert np.all(np.abs(points[:, 1, 1]) < 1e-6)


@pytest.mark.parametrize("name", ["uniform", "to a point", "arcs"])
def test_mirror(name: str) -> None:
    """A straight limb bent the other way mirrors its tip and holds the same energy."""
    limb = LIMBS[name]
    q = random_shapes(limb)
    there, back = limb.tip(q), limb.tip(-q)
    np.testing.assert_allclose(back.position, there.position * [1.0, -1.0], atol=1e-15)
    np.testing.assert_array_equal(back.angle, -there.angle)
    np.testing.assert_array_equal(limb.energy(-q)[0], limb.energy(q)[0])


def test_mirrored_recurve_under_mirrored_load() -> None:
    """Unstrained curvature, load and answer are mirrored together."""
    limb = LIMBS["recurved"]
    other = replace(limb, unstrained=Stations([0.0, 0.6, 1.0], [0.0, 0.2, 2.0]))
    q = bent(limb, [3.0, 20.0], 2.0)
    np.testing.assert_allclose(bent(other, [3.0, -20.0], -2.0), -q, atol=1e-12)


def test_a_bent_limb_turned_whole() -> None:
    """An arc of curvature c that bends by d is the arc that was unstrained at c + d."""
    bending = ElasticaLimb(0.8, 20.0, unstrained=uniform(-0.7))
    q = bending.rest()[None].copy()
    q[0, 0] = 1.1
    there = ElasticaLimb(0.8, 20.0, unstrained=uniform(0.4))
    np.testing.assert_allclose(
        bending.tip(q).position, there.tip(there.rest()[None]).position, rtol=1e-14
    )


def test_a_limb_in_two_halves() -> None:
    """A bent limb is its inner half, and its outer half set on the inner one's tip."""
    whole = ElasticaLimb(0.8, 20.0, elements=2, degree=3)
    half = ElasticaLimb(0.4, 20.0, degree=3)
    q = random_shapes(whole)
    # Curvature times length: half the length, half the coefficient.
    inner, outer = half.tip(q[:, :4] / 2), half.tip(q[:, 4:] / 2)
    cos, sin = np.cos(inner.angle), np.sin(inner.angle)
    turned = np.stack([[cos, -sin], [sin, cos]]).transpose(2, 0, 1)
    joined = inner.position + (turned @ outer.position[..., None])[..., 0]
    np.testing.assert_allclose(whole.tip(q).position, joined, atol=1e-14)
    np.testing.assert_allclose(whole.tip(q).angle, inner.angle + outer.angle, atol=1e-14)


def test_a_family_is_its_members() -> None:
    """Limbs solved together bend as each does alone."""
    family = LIMBS["family"]
    together = bent(family, [[0.0, 10.0], [2.0, 20.0], [-1.0, 30.0]])
    loads = ([0.0, 10.0], [2.0, 20.0], [-1.0, 30.0])
    for i, force in enumerate(loads):
        alone = replace(
            family,
            length=np.asarray(family.length)[i],
            root_stiffness=np.asarray(family.root_stiffness)[i],
        )
        np.testing.assert_allclose(bent(alone, force)[0], together[i], atol=1e-12)


# -------------------------------------------------------------------------------- equilibrium


def error_at(elements: int, degree: int, taper: Any = None) -> float:
    """Distance of the tip under a force from that of a fine mesh, in lengths."""
    taper = uniform() if taper is None else taper
    coarse = ElasticaLimb(1.0, 1.0, taper, elements=elements, degree=degree)
    fine = ElasticaLimb(1.0, 1.0, taper, degree=24)
    force = [0.5, 3.0]
    places = [limb.tip(bent(limb, force)).position for limb in (coarse, fine)]
    return float(np.linalg.norm(places[0] - places[1]))


@pytest.mark.parametrize("taper", [None, width_taper(), power_taper(3.0, 0.5)])
def test_arcs_converge_in_second_order(taper: Any) -> None:
    """Halving the arcs leaves a quarter of the error."""
    errors = [error_at(m, 0, taper) for m in (8, 16, 32)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all((orders > 1.9) & (orders < 2.1)), orders


@pytest.mark.parametrize(("degree", "order"), [(1, 4), (2, 6)])
def test_elements_converge_at_twice_their_order(degree: int, order: int) -> None:
    """Tip and energy of elements of degree p converge as h^(2 p + 2)."""
    errors = [error_at(m, degree) for m in (3, 6, 12)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all(np.abs(orders - order) < 0.5), orders


def test_degree_converges_exponentially() -> None:
    """Two more degrees leave less than a tenth of the error, down to rounding."""
    errors = [error_at(1, p) for p in (1, 3, 5, 7, 9)]
    assert all(after < 0.1 * before for before, after in pairwise(errors))
    assert errors[-1] < 1e-11


def test_moment_balances_the_load() -> None:
    """All along the limb the moment is the load's lever, and no more than that is at the root."""
    limb = ElasticaLimb(0.8, 20.0, width_taper(0.3), RECURVE, elements=5, degree=7)
    force, moment = np.array([5.0, 25.0]), 3.0
    q = bent(limb, force, moment)
    at = np.array([0.0, 0.15, 0.5, 0.85, 1.0])
    arm = limb.tip(q).position[:, None] - limb.shape(q, at)
    expected = arm[..., 0] * force[1] - arm[..., 1] * force[0] + moment
    np.testing.assert_allclose(limb.moment(q, at), expected, atol=1e-6)


def test_energy_is_the_work_of_a_growing_load() -> None:
    """The work of a force that grows from nothing is the energy that is stored."""
    limb = LIMBS["to a point"]
    node, weight = np.polynomial.legendre.leggauss(12)
    # W = F u - int u dF, with u the deflection along the force
    loads = 40.0 * 0.5 * (node + 1.0)
    along = limb.tip(bent(limb, np.stack([0.0 * loads, loads], axis=-1))).position[:, 1]
    full = bent(limb, [0.0, 40.0])
    work = 40.0 * limb.tip(full).position[0, 1] - 40.0 * 0.5 * (along * weight).sum()
    assert limb.energy(full)[0][0] == pytest.approx(work, rel=1e-9)


def test_limb_to_a_point_needs_no_floor() -> None:
    """A tip without width is the limit of narrow ones, and no narrow one is ill posed."""
    tips = [
        (limb := ElasticaLimb(0.8, 20.0, width_taper(w), degree=20)).tip(bent(limb, [0.0, 20.0]))
        for w in (0.0, 1e-6, 1e-3)
    ]
    point, thread, narrow = (tip.position[0] for tip in tips)
    assert np.linalg.norm(thread - point) < 1e-6
    assert 1e-5 < np.linalg.norm(narrow - point) < 1e-3


def test_pivot_limb_under_a_load() -> None:
    """A link turns until its spring bears the load's lever."""
    limb = PivotLimb(0.6, [30.0, 50.0], rest_angle=-0.2, hardening=4.0)
    q = bent(limb, [1.0, 20.0], 2.0)[:, 0]
    lever = 20.0 * 0.6 * np.cos(q) - 1.0 * 0.6 * np.sin(q) + 2.0
    spring = np.array([30.0, 50.0]) * (q + 0.2) + 4.0 * (q + 0.2) ** 3
    np.testing.assert_allclose(spring, lever, rtol=1e-12)


def test_large_loads_from_rest() -> None:
    """A load ten times what bends it level is met at once, without curling the limb up."""
    limb = ElasticaLimb(1.0, 1.0, elements=3)
    outcome = cantilever(limb, [[0.0, 100.0], [0.0, -100.0]]).raise_for_failure()
    angle = limb.tip(outcome.value).angle
    np.testing.assert_allclose(angle, [np.pi / 2, -np.pi / 2], atol=1e-3)


def test_straight_over_its_buckling_load_and_bent_beside_it() -> None:
    """Pushed exactly along itself a limb stays as it is; begun bent it finds the stable shape."""
    limb = ElasticaLimb(1.0, 1.0)
    push = [-1.2 * np.pi**2 / 4, 0.0]
    assert not bent(limb, push).any()
    start = limb.rest()
    start[0] = 1.0
    found = cantilever(limb, push, start=start).raise_for_failure().value
    assert limb.tip(found).angle[0] > 0.5


def test_failure_is_data() -> None:
    """Without the iterations it needs, a case says so and gives what it has."""
    limb = ElasticaLimb(1.0, 1.0)
    outcome = cantilever(limb, [[0.0, 4.0], [0.0, 0.0]], max_iterations=2)
    assert outcome.reason is Reason.NOT_CONVERGED
    assert outcome.ok.tolist() == [False, True]
    assert outcome.residual[0] > 0.0
    assert np.isfinite(outcome.value).all()


# -------------------------------------------------------------------------------- what is refused


@pytest.mark.parametrize(
    ("name", "bad"),
    [
        ("length", -0.8),
        ("length", [[0.8]]),
        ("root_stiffness", float("inf")),
        ("root_stiffness", [20.0, 0.0]),
        ("elements", 0),
        ("degree", -1),
        ("taper", Stations([0.0, 0.5, 1.0], [1.0, 0.0, 1.0])),
        ("taper", uniform(float("nan"))),
        ("unstrained", uniform(float("inf"))),
    ],
)
def test_what_is_no_limb(name: str, bad: Any) -> None:
    """A number or a profile that cannot be is refused with its name."""
    numbers: dict[str, Any] = {"length": 0.8, "root_stiffness": 20.0} | {name: bad}
    with pytest.raises(InputError, match=f"limb.{name}"):
        ElasticaLimb(**numbers)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: power_taper(-1.0), "taper.exponent"),
        (lambda: power_taper(float("nan")), "taper.exponent"),
        (lambda: width_taper(-0.1), "taper.tip"),
        (lambda: power_taper(3.0), "taper.tip"),
        (lambda: Stations([0.0, 0.5], [1.0, 1.0]), "stations.fractions"),
        (lambda: Stations([0.0, 0.5, 0.5, 1.0], [1.0] * 4), "stations.fractions"),
        (lambda: Stations([0.0, 1.0], [1.0]), "stations.values"),
        (lambda: Stations([0.0, 1.0], [1.0, float("nan")]), "stations.values"),
    ],
)
def test_what_is_no_taper(make: Any, field: str) -> None:
    """A taper that no limb can have is refused with its name."""
    with pytest.raises(InputError, match=field):
        make()


@pytest.mark.parametrize(
    ("force", "moment", "field"),
    [
        ([1.0, 2.0, 3.0], 0.0, "cantilever.force"),
        ([0.0, float("nan")], 0.0, "cantilever.force"),
        ([0.0, 1.0], [[1.0]], "cantilever.moment"),
        ([0.0, 1.0], float("inf"), "cantilever.moment"),
        ([0.0, 1.0], 1.0, "cantilever.moment"),
        ([[0.0, 1.0]] * 3, [0.0, 0.0], "cantilever.cases"),
    ],
)
def test_what_is_no_load(force: Any, moment: Any, field: str) -> None:
    """A load that cannot be is refused; so is a moment on a tip that has no stiffness."""
    with pytest.raises(InputError, match=field):
        cantilever(LIMBS["to a point"], force, moment)


def test_a_start_of_another_limb() -> None:
    """A start with other coordinates than the limb's is refused."""
    with pytest.raises(InputError, match=r"cantilever\.cases"):
        cantilever(LIMBS["uniform"], [0.0, 1.0], start=np.zeros(3))
