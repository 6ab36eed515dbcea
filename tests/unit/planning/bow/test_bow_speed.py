"""Arrow speed: string mass where it sits, a cable that says nothing, a shot that makes surer."""

from __future__ import annotations

from typing import Any

import pytest
from asked_bow import Asked

from sample_job import CABLE, GRAIN, INCH, example_plan, job_of, plan_of
from strandwright.bow.near_wheel import Verdict
from strandwright.errors import SpecError
from strandwright.planning.bow.speed import Speed, string_speed

FOOT = 12 * INCH


def shot_from(bow: Asked, **changes: Any) -> Speed:
    """Ask the bow's speed with another arrow or shot."""
    job = job_of(bow.name, {f"bow.{name}": value for name, value in changes.items()})
    found = string_speed(job, bow.plan, bow.model)
    assert found is not None
    return found


def test_an_arrow_that_carries_more_than_is_stored_is_refused(one_cam: Asked) -> None:
    """Half its mass by the speed squared, against the energy of the draw less hysteresis."""
    stored = float(one_cam.model.family.figures.stored_energy.mean())
    fastest = (2.0 * 0.95 * stored / (410 * GRAIN)) ** 0.5 / FOOT
    with pytest.raises(SpecError) as caught:
        shot_from(one_cam, shot=f"{1.04 * fastest:.0f} ft/s")
    assert caught.value.field == "bow.shot"
    assert "410 gr" in str(caught.value)
    assert shot_from(one_cam, shot=f"{0.98 * fastest:.0f} ft/s").measured


def test_a_cable_has_no_say(two_cam: Asked) -> None:
    """Its mass sits at the wheels."""
    assert string_speed(job_of(CABLE), example_plan(CABLE), two_cam.model) is None


def test_everything_between_the_wheels_is_counted(two_cam: Asked) -> None:
    """The bare string's free part, the servings there, and what is tied in by its own mass."""
    found = shot_from(two_cam)
    items = {cost.item.name: cost.item for cost in found.costs}
    assert {"bare string", "serving, centre", "serving, stop", "peep"} <= set(items)
    assert items["peep"].mass == pytest.approx(12 * GRAIN)
    assert sum(item.mass for item in items.values()) < two_cam.plan.mass.value
    assert "nock" not in items, "a mark without mass costs nothing"


def test_mass_counts_where_it_sits(two_cam: Asked) -> None:
    """The same peep costs less further from the nocking point, and it is the nearer told surely."""
    near, far = (
        next(c for c in speed.costs if c.item.name == "peep")
        for speed in (
            string_speed(job, plan_of(two_cam.name, change), two_cam.model)
            for change in ({"line.marks.1.at": "30 in"}, {"line.marks.1.at": "37 in"})
            for job in [job_of(two_cam.name, change)]
        )
        if speed is not None
    )
    assert near.item.mass == far.item.mass
    assert float(near.lost) > 1.3 * float(far.lost) > 0
    assert near.bounds.verdict is Verdict.TELLS


def test_the_bare_string_counts_for_about_a_third(one_cam: Asked) -> None:
    """Spread evenly from the nocking point to the wheels, it moves as a third of its mass would."""
    bare = next(c for c in shot_from(one_cam).costs if c.item.name == "bare string")
    assert bare.item.weight == pytest.approx(1.0 / 3.0, abs=1e-3)


def test_without_an_arrow_five_grains_a_pound_are_taken(one_cam: Asked) -> None:
    """It is said to be assumed, and a shot of no known arrow teaches nothing."""
    found = shot_from(one_cam, arrow=None)
    assert found.arrow_assumed
    assert found.arrow == pytest.approx(5 * 62 * GRAIN, rel=1e-6)
    assert not found.measured
    assert not shot_from(one_cam).arrow_assumed


def test_a_heavier_arrow_is_slower(one_cam: Asked) -> None:
    """And what is on the string takes less from it."""
    light, heavy = (shot_from(one_cam, arrow=a, shot=None) for a in ("350 gr", "500 gr"))
    assert light.speed.value > heavy.speed.value
    peeps = [next(c for c in s.costs if c.item.name == "peep") for s in (light, heavy)]
    assert float(peeps[0].lost) > float(peeps[1].lost)


def test_a_shot_over_the_chronograph_narrows_the_speed(one_cam: Asked) -> None:
    """The speed goes to the reading, and its +- to about the reading's own."""
    guessed, read = shot_from(one_cam, shot=None), shot_from(one_cam, shot="262 ft/s +- 2")
    assert (guessed.measured, read.measured) == (False, True)
    assert read.speed.u < 0.25 * guessed.speed.u
    assert abs(read.speed.value - 262 * FOOT) < abs(guessed.speed.value - 262 * FOOT)
    assert read.speed.value == pytest.approx(262 * FOOT, abs=2 * FOOT)
