"""Recurves and longbows that agree with what is known of one."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.bow.bent_family import BentFamily, BentKnown, bent_taken, fit_bent_family
from strandwright.bow.contact import contact_map
from strandwright.bow.family import Spread
from strandwright.bow.sensitivity import respond
from strandwright.errors import SpecError

INCH, LBF = 0.0254, 4.4482216152605
RECURVE = BentKnown(
    True, 66 * INCH, 8.375 * INCH, 26.25 * INCH, (44 * LBF, 0.5 * LBF), 0.03, 1e5, 0.0025
)
LONGBOW = BentKnown(
    False, 68 * INCH, 6.5 * INCH, 26.25 * INCH, (45 * LBF, 0.5 * LBF), 0.03, 4e4, 0.003
)
PRIOR = {
    "riser": Spread(24 * INCH, INCH),
    "set_forward": Spread(-0.02, 0.008),
    "lean": Spread(0.1, 0.03),
    "tip": Spread(4 * INCH, 0.5 * INCH),
    "tip_turn": Spread(0.9, 0.12),
}
STRAIGHT = {
    "riser": Spread(9 * INCH, 2 * INCH),
    "set_forward": Spread(0.0, 0.01),
    "lean": Spread(0.0, 0.03),
}


@pytest.fixture(scope="module", params=["recurve", "longbow"])
def family(request: pytest.FixtureRequest) -> BentFamily:
    """A small family of either kind."""
    if request.param == "recurve":
        return fit_bent_family(RECURVE, PRIOR, 8)
    return fit_bent_family(LONGBOW, STRAIGHT, 8)


def test_members_agree_with_what_is_known(family: BentFamily) -> None:
    """Every member stands at the brace height and draws the weight, each its own within the +-."""
    known = family.known
    assert family.members >= 6
    np.testing.assert_allclose(family.figures.brace_height, known.brace_height, atol=2e-4)
    weight = family.cycle.force[:, -1]
    assert np.all(np.abs(weight - known.weight[0]) < 4 * known.weight[1])
    assert weight.std() > 0.2 * known.weight[1]


def test_strings_are_as_short_as_in_practice(family: BentFamily) -> None:
    """Three to five inches under a recurve's length, two to four under a longbow's."""
    tight = family.strung.rig.natural * (1 + family.strung.tension / family.strung.rig.stiffness)
    short = (family.known.bow_length - tight.sum(axis=1)) / INCH
    low, high = (2.5, 5.0) if family.known.recurved else (1.0, 4.0)
    assert np.all((low < short) & (short < high)), short


def test_fill_of_its_kind(family: BentFamily) -> None:
    """Measured recurves fill 0.58 to 0.60 of weight by way (Tuijn and Kooi 1992); straight less."""
    way = family.known.full - family.known.brace_height
    fill = family.figures.stored_energy / (family.cycle.force[:, -1] * way)
    low, high = (0.55, 0.61) if family.known.recurved else (0.50, 0.57)
    assert np.all((low < fill) & (fill < high)), fill


def test_a_recurves_string_lies_on_its_tips(family: BentFamily) -> None:
    """At brace on the belly of both tips, by a few inches; a longbow's touches nothing."""
    touches = contact_map(family.cycle)[0].touches
    if not family.known.recurved:
        assert touches == ()
        return
    assert [t.on for t in touches] == ["lower tip", "upper tip"]
    for touch in touches:
        along = touch.stop - touch.start
        assert np.all((1.0 * INCH < along) & (along < 4.5 * INCH))


def test_a_shorter_string_raises_the_brace(family: BentFamily) -> None:
    """By 1.5 to 4 times its shortening, and it draws a little heavier."""
    answer = respond(family.cycle)
    by_string = answer.brace_height.mean(axis=1)
    assert np.all((-4.0 < by_string) & (by_string < -0.75))
    assert np.all(answer.peak.sum(axis=1) < 0.0)


def test_some_members_taken(family: BentFamily) -> None:
    """Members taken by themselves stand and draw as they did among the others."""
    some = bent_taken(family, np.array([2, 0]))
    np.testing.assert_allclose(some.cycle.force, family.cycle.force[[2, 0]], atol=1e-6)
    assert some.members == 2


def test_the_same_seed_finds_the_same() -> None:
    """Members are drawn by a seed."""
    one, two = (fit_bent_family(LONGBOW, STRAIGHT, 4, seed=7) for _ in range(2))
    np.testing.assert_array_equal(one.cycle.force, two.cycle.force)


def test_a_bow_that_cannot_stand_is_refused() -> None:
    """A brace height of half the bow is told by its field."""
    folded = BentKnown(False, 1.0, 0.48, 0.6, (200.0, 2.0), 0.0, 5e4, 0.003)
    with pytest.raises(SpecError) as told:
        fit_bent_family(folded, STRAIGHT, 4)
    assert told.value.field.startswith("bow")
    assert "measure" in told.value.remedy or "check" in told.value.remedy
