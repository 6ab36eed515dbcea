"""Energy of a bow: its gradient and second derivatives are those of differences."""

import numpy as np
import pytest
from sample_bows import bent, bow, sizes, with_stops

from strandwright.bow.rig import Rig, rows_of
from strandwright.bow.strung import Strung
from strandwright.bow.systems import SYSTEMS, System, lay_out

Floats = np.ndarray
STEP = 2e-6


def tightened(standing: Strung, share: float = 0.7) -> Rig:
    """Give the bow's rig with lines so short that all of them pull in every state looked at."""
    return standing.rig.taken(np.array([0]), share * standing.rig.natural)


def states(standing: Strung, count: int, seed: int) -> Floats:
    """States all about the brace and the first half of the draw."""
    rng, rig = np.random.default_rng(seed), standing.rig
    q = np.repeat(standing.brace, count, axis=0)
    for cut in rig.limbs:
        q[:, cut] += 0.1 * rng.standard_normal((count, cut.stop - cut.start))
    q[:, rig.wheels] += rng.uniform(-1.5, 0.3, (count, 1)) * _senses(standing)
    q[:, rig.draw] += rng.uniform(0.0, 0.2, count)
    q[:, rig.bearing] += 0.05 * rng.standard_normal(count)
    return q


def _senses(standing: Strung) -> Floats:
    """The upper wheel turns clockwise as the bow is drawn, the lower one counter-clockwise."""
    return np.array([1.0 if w.limb == 0 else -1.0 for w in standing.bow.wheels])


def assert_exact(rig: Rig, standing: Strung, q: Floats) -> None:
    """Hold gradient and second derivatives to central differences."""
    at = rig.potential(q, standing.directions)
    assert np.all(at.tension > 0.0)
    assert np.all(at.spans.length > 0.0)
    slope, curve = np.empty_like(at.gradient), np.empty_like(at.hessian)
    for k in range(rig.freedoms):
        aside = np.zeros(rig.freedoms)
        aside[k] = STEP
        low, high = (rig.potential(q + s * aside, at.spans.direction) for s in (-1, 1))
        slope[:, k] = (high.energy - low.energy) / (2 * STEP)
        curve[:, k] = (high.gradient - low.gradient) / (2 * STEP)
    scale = np.abs(at.hessian).max()
    np.testing.assert_allclose(at.gradient, slope, atol=1e-8 * scale)
    np.testing.assert_allclose(at.hessian, curve, atol=1e-7 * scale)
    np.testing.assert_allclose(at.hessian, np.swapaxes(at.hessian, 1, 2), atol=1e-12 * scale)


@pytest.mark.parametrize("system", SYSTEMS)
def test_derivatives_with_links(system: System) -> None:
    """Limbs that are links on pivots: every system, a dozen states each."""
    standing = bow(system)
    assert_exact(tightened(standing), standing, states(standing, 12, 3))


@pytest.mark.parametrize("system", SYSTEMS)
def test_derivatives_with_bent_limbs(system: System) -> None:
    """Limbs that are bent beams: every system, a dozen states each."""
    standing = bent(bow(system))
    assert_exact(tightened(standing), standing, states(standing, 12, 4))


@pytest.mark.parametrize("system", SYSTEMS)
def test_derivatives_against_the_stops(system: System) -> None:
    """A stop that is pressed pushes as the slope of its energy does."""
    standing = with_stops(system)
    q = states(standing, 6, 5)
    rig = tightened(standing, 0.4)
    q[:, rig.wheels] -= 3.2 * _senses(standing)
    pressed = [rig.stop_excess(stop, rig.poses(q))[0] for stop in standing.bow.stops]
    assert np.all(np.max(pressed, axis=0) > 0.01)
    at, free = rig.potential(q, standing.directions), rig.unstopped()
    assert np.all(at.energy > free.potential(q, standing.directions).energy)
    assert_exact(rig, standing, q)


@pytest.mark.parametrize("system", SYSTEMS)
def test_length_gradient_and_tension(system: System) -> None:
    """A reach's length grows as its gradient says, and its tension as its stiffness says."""
    standing = bow(system)
    rig, q = tightened(standing), states(standing, 5, 6)
    at = rig.potential(q, standing.directions)
    natural = np.broadcast_to(rig.natural, at.tension.shape)
    strain = at.spans.path_length / natural - 1.0
    np.testing.assert_allclose(at.tension, rig.stiffness * strain, rtol=1e-12)
    for k in range(rig.freedoms):
        aside = np.zeros(rig.freedoms)
        aside[k] = STEP
        low, high = (rig.potential(q + s * aside, at.spans.direction) for s in (-1, 1))
        slope = (high.spans.path_length - low.spans.path_length) / (2 * STEP)
        np.testing.assert_allclose(at.length_gradient[:, :, k], slope, atol=1e-9)
    longer = rig.taken(np.array([0]), rig.natural + 1e-7)
    change = (longer.potential(q, standing.directions).tension - at.tension) / 1e-7
    np.testing.assert_allclose(at.tension_by_length, change, rtol=1e-5)


def test_a_slack_line_does_not_push() -> None:
    """A line longer than its path has neither tension nor energy nor stiffness."""
    standing = bow("two-cam")
    rig = standing.rig.taken(np.array([0]), 1.1 * standing.rig.natural)
    at = rig.potential(standing.brace, standing.directions)
    assert np.all(at.tension == 0.0)
    assert np.all(at.tension_by_length == 0.0)
    pairs = zip(standing.bow.mounts, rig.limbs, strict=True)
    free = sum(float(m.limb.energy(standing.brace[:, c])[0][0]) for m, c in pairs)
    assert at.energy[0] == pytest.approx(free, rel=1e-13)


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_batch_of_bows_is_its_bows(system: System) -> None:
    """Bows that differ in every size, together or one by one, or taken in another order."""
    factors = np.array([1.0, 1.03, 0.98])
    names = ("axle_to_axle", "link", "limb_stiffness", "string_lever", "cable_lever", "turn")
    base = sizes(system)
    many = lay_out(system, sizes(system, **{n: getattr(base, n) * factors for n in names}))
    at = many.rig.potential(many.brace, many.directions)
    for i in range(3):
        one = lay_out(system, sizes(system, **{n: getattr(base, n) * factors[i] for n in names}))
        alone = one.rig.potential(one.brace, one.directions)
        part = many.rig.taken(np.array([i]))
        again = part.potential(many.brace[[i]], many.directions[[i]])
        for found in (rows_of(at, np.array([i])), again):
            np.testing.assert_allclose(found.energy, alone.energy, rtol=1e-12)
            np.testing.assert_allclose(found.tension, alone.tension, rtol=1e-10)
            np.testing.assert_allclose(found.hessian, alone.hessian, rtol=1e-9, atol=1e-7)


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_bow_laid_out_stands_at_its_brace(system: System) -> None:
    """What is laid out is in equilibrium: nothing is left but rounding, no force at the nock."""
    standing = bow(system)
    at = standing.rig.potential(standing.brace, standing.directions)
    np.testing.assert_allclose(at.gradient, 0.0, atol=1e-9)
    np.testing.assert_allclose(at.tension, standing.tension, rtol=1e-9)
    assert np.linalg.eigvalsh(at.hessian[0])[0] > 0.0
    np.testing.assert_allclose(at.tension[:, standing.rig.of_line == 0], 400.0, rtol=1e-9)


@pytest.mark.parametrize("system", SYSTEMS)
def test_forces_on_the_whole_bow_balance_on_the_riser(system: System) -> None:
    """Shifting or turning every body but the riser changes no line's length."""
    standing = bow(system)
    rig = standing.rig
    poses = rig.poses(standing.brace).at
    before = rig.paths.spans(poses, standing.directions).path_length
    c, s = np.cos(0.4), np.sin(0.4)
    moved = np.array(poses)
    moved[:, :, :2] = poses[:, :, :2] @ np.array([[c, s], [-s, c]]) + [0.2, -0.1]
    moved[:, :, 2] += 0.4
    after = rig.paths.spans(moved, standing.directions + 0.4).path_length
    np.testing.assert_allclose(after, before, rtol=1e-13)
