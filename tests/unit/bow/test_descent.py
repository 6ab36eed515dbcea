"""Descent: members end where no step makes them better, each by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_bows import FULL, INCH, Floats
from test_family import POUND, known, prior

from strandwright.bow.comparison import Comparison
from strandwright.bow.descent import descend
from strandwright.bow.family import Spread
from strandwright.bow.systems import SYSTEMS, System

MEMBERS = 12


def draws(fit: Comparison, members: int = MEMBERS) -> tuple[Floats, Floats, Floats]:
    """Members' own draws of the sizes, of what is known, and their full draw."""
    rng = np.random.default_rng(4)
    own = rng.standard_normal((members, len(fit.names)))
    return own, rng.standard_normal((members, fit.count)), np.full(members, FULL)


def cost(fit: Comparison, x: Floats, own: Floats, noise: Floats, full: Floats) -> Floats:
    """What a member makes small, written out."""
    seen = fit.read(x, full)
    off = (seen.value - fit.wanted) / fit.within - noise
    squares = np.sum((x - own) ** 2, axis=1) + np.sum(off**2, axis=1)
    return np.where(seen.ok, 0.5 * squares, np.inf)


def test_no_step_makes_a_member_better() -> None:
    """Forty steps in all directions, short and long, gain next to nothing."""
    fit = Comparison(known("two-cam"), prior("two-cam"))
    own, noise, full = draws(fit)
    x, misfit = descend(fit, own, noise, full)
    least = cost(fit, x, own, noise, full)
    begun = cost(fit, np.repeat(fit.start(), MEMBERS, axis=0), own, noise, full)
    assert np.all(least < begun - 1.0)
    assert np.all(misfit < 3.0)
    ways = np.random.default_rng(5).standard_normal((40, *x.shape))
    ways /= np.linalg.norm(ways, axis=2, keepdims=True)
    ways[:20] *= 0.02
    ways[20:] *= 0.2
    about = (x + ways).reshape(-1, x.shape[1])
    again = np.tile(own, (40, 1)), np.tile(noise, (40, 1)), np.tile(full, 40)
    found = cost(fit, about, *again).reshape(40, -1)
    assert np.all(found > least - 0.02)


def test_a_member_is_the_same_in_other_company() -> None:
    """Those that are on their way longer do not carry the others along."""
    fit = Comparison(known("one-cam"), prior("one-cam"))
    own, noise, full = draws(fit)
    x, misfit = descend(fit, own, noise, full)
    some = np.array([7, 2, 9])
    alone, alone_misfit = descend(fit, own[some], noise[some], full[some])
    np.testing.assert_allclose(alone, x[some], atol=1e-5)
    np.testing.assert_allclose(alone_misfit, misfit[some], atol=1e-5)


def test_a_bow_that_does_not_stand_at_all_is_no_member() -> None:
    """The middle of the prior lies where wheels overlap: all are begun, none come to agree."""
    met_with = prior("two-cam") | {"string_lever": Spread(30.0 * INCH, 0.01)}
    fit = Comparison(known("two-cam"), met_with)
    own, noise, full = draws(fit, 4)
    x, misfit = descend(fit, own, noise, full)
    assert np.all(np.isinf(misfit))
    assert np.all(np.isfinite(x))


def test_one_that_cannot_be_laid_out_leaves_the_others_alone() -> None:
    """It has no figures; theirs are what they were."""
    fit = Comparison(known("two-cam"), prior("two-cam"))
    x = 0.3 * draws(fit, 5)[0]
    full = np.full(5, FULL)
    whole = fit.read(x, full)
    assert whole.ok.all()
    x[3, fit.names.index("string_lever")] = 40.0
    seen = fit.read(x, full)
    assert seen.ok.tolist() == [True, True, True, False, True]
    rest = np.array([0, 1, 2, 4])
    np.testing.assert_allclose(seen.value[rest], whole.value[rest], rtol=1e-9)


@pytest.mark.parametrize("system", SYSTEMS)
def test_slopes_of_figures_are_those_of_bows_followed(system: System) -> None:
    """By central differences, to 2 % of the largest and a tenth of what is known."""
    board = tuple((d * INCH, 200.0, 0.5 * POUND) for d in (9.0, 14.0, 19.0, 23.0))
    asked = known(system)
    told = (*asked.figures, ("stored_energy", (80.0, 2.0)), ("limb_bend", (0.5, 0.1)))
    asked = replace(asked, figures=(*told, ("timing", (0.0, 0.1))), board=board)
    fit = Comparison(asked, prior(system))
    x, full = 0.1 * draws(fit, 3)[0], np.full(3, FULL)
    slopes = fit.slopes(x, fit.read(x, full))
    members, count = x.shape
    far = 1e-3 * np.concatenate([np.eye(count), -np.eye(count)])
    about = (x[:, None] + far).reshape(-1, count)
    value = fit.read(about, np.full(len(about), FULL)).value.reshape(members, 2, count, -1)
    found = np.swapaxes((value[:, 0] - value[:, 1]) / 2e-3, 1, 2)
    off = np.abs(slopes - found) / fit.within[:, None]
    largest = np.abs(slopes).max(axis=2, keepdims=True) / fit.within[:, None]
    assert np.all(off < 0.02 * largest + 0.1)
