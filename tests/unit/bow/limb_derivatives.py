"""Analytic derivatives of any limb held to central differences."""

from __future__ import annotations

from functools import partial

import numpy as np

from strandwright.bow.limb import Floats, Limb


def sloped(limb: Limb, q: Floats, step: float = 1e-5) -> tuple[Floats, ...]:
    """Central differences of tip, tip gradient, tip angle, energy and energy gradient."""
    found: list[list[Floats]] = [[], [], [], [], []]
    for k in range(limb.freedoms):
        aside = np.zeros(limb.freedoms)
        aside[k] = step
        before, after = limb.tip(q - aside), limb.tip(q + aside)
        low, high = limb.energy(q - aside), limb.energy(q + aside)
        pairs = (
            (before.position, after.position),
            (before.position_gradient, after.position_gradient),
            (before.angle, after.angle),
            (low[0], high[0]),
            (low[1], high[1]),
        )
        for kept, (a, b) in zip(found, pairs, strict=True):
            kept.append((b - a) / (2 * step))
    return tuple(np.stack(kept, axis=-1) for kept in found)


def assert_exact_derivatives(limb: Limb, q: Floats, tolerance: float = 1e-7) -> None:
    """Hold every analytic derivative of a limb to its central difference."""
    tip, (_, gradient, hessian) = limb.tip(q), limb.energy(q)
    position, bend, angle, force, rate = sloped(limb, q)
    close = partial(np.testing.assert_allclose, atol=tolerance, rtol=tolerance)
    close(tip.position_gradient, position)
    close(tip.position_hessian, bend)
    close(np.broadcast_to(tip.angle_gradient, angle.shape), angle)
    close(gradient, force)
    close(np.broadcast_to(hessian, rate.shape), rate)
