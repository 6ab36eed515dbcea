"""The modelled bow: the same answer again, and lengths that do what practice says they do.

Practice has a table of signs and a rule of thumb; where they part, the test says which of them
the model sides with. Both are common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from asked_bow import Asked

from sample_job import INCH, job_of
from strandwright.bow.systems import Sizes
from strandwright.errors import SpecError
from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import BowModel, model_bow, what_if

FIGURES = ("brace_height", "axle_to_axle", "draw_length", "peak")
QUARTER = 0.25 * INCH


@pytest.fixture(params=["two_cam", "one_cam"])
def bow(request: pytest.FixtureRequest) -> Asked:
    """Give each of the bows."""
    return request.getfixturevalue(request.param)


def moved(model: BowModel, longer: dict[str, float]) -> dict[str, float]:
    """Give the change of each figure of the middle bow, its draw solved anew."""
    after = what_if(model, longer).figures
    before = model.middle.figures
    return {n: float(getattr(after, n)[0] - getattr(before, n)[0]) for n in FIGURES}


def cables(model: BowModel, longer: float) -> dict[str, float]:
    """Give the same change to every cable."""
    return {line: longer for line in model.lines if line != "string"}


def test_the_same_question_has_the_same_answer(bow: Asked) -> None:
    """A job of another name with other readings is answered by the very same bows."""
    job = job_of(bow.name, {"name": "again", "bow.now": {"brace_height": "6 3/4 in"}})
    assert model_bow(question(job, bow.plan)) is bow.model


def test_the_bows_agree_with_what_the_job_says(bow: Asked) -> None:
    """Brace and axle to axle are met exactly, weight and let-off within their doubt."""
    read, said = bow.model.family.figures, bow.job.bow
    assert said.brace_height and said.axle_to_axle and said.draw_weight and said.let_off
    assert read.brace_height == pytest.approx(said.brace_height.si, abs=1e-5)
    assert read.axle_to_axle == pytest.approx(said.axle_to_axle.si, abs=1e-5)
    assert float(read.peak.mean()) == pytest.approx(said.draw_weight.si, rel=0.03)
    assert float(read.let_off.mean()) == pytest.approx(said.let_off.si, abs=0.03)


def test_nothing_changed_changes_nothing(bow: Asked) -> None:
    """Lines as they are give the bow as it is, in every figure."""
    assert moved(bow.model, dict.fromkeys(bow.model.lines, 0.0)) == pytest.approx(
        dict.fromkeys(FIGURES, 0.0), abs=1e-5
    )


def test_a_drawing_solved_anew_agrees_with_the_first_order(bow: Asked) -> None:
    """For a small change the one bow drawn again lies among what the family says of it."""
    asked = what_if(bow.model, {"string": 1e-3})
    for name, change in moved(bow.model, {"string": 1e-3}).items():
        middle, u = asked.change[name]
        assert abs(change - middle) < 4.0 * u + 1e-6, name


def family_brace(model: BowModel, longer: dict[str, float]) -> float:
    """Change of brace height over the family; one bow's may go either way, see below."""
    return what_if(model, longer).change["brace_height"][0]


def test_what_a_string_does_to_brace_height_by_hand(two_cam: Asked) -> None:
    """Limbs bring the string closer to the archer, the string's falling lever takes it back.

    Lines that do not stretch: a wheel rolls on by the string's shortening over twice the string's
    lever and the cable's, and takes up the cable's lever of it in axle to axle.
    """
    s = two_cam.model.family.sizes
    assert isinstance(s, Sizes)
    half, late = 0.5 * s.thickness, s.turn + s.cable_lag
    string = (s.string_throw, s.string_second, s.string_third)
    cable = (s.cable_throw, s.cable_second, s.cable_third)
    wave = np.sum([w * np.cos(k * s.turn) for k, w in enumerate(string, 1)], axis=0)
    slope = np.sum([k * w * np.sin(k * s.turn) for k, w in enumerate(string, 1)], axis=0)
    own = np.sum([w * np.cos(k * (np.pi - late)) for k, w in enumerate(cable, 1)], axis=0)
    lever, falls = half + s.string_lever * (1 + wave), s.string_lever * slope
    takes_up = half + s.cable_lever * (1 + own)
    by_limbs = 0.5 * takes_up * np.tan(s.lean)
    by_hand = (by_limbs + falls) / (2 * lever + takes_up)
    rig = two_cam.model.family.cycle.rig
    reaches = np.flatnonzero(rig.of_line == two_cam.model.lines.index("string"))
    answered = -two_cam.model.response.brace_height[:, reaches].mean(axis=1)
    np.testing.assert_allclose(answered, by_hand, atol=0.01)
    assert np.corrcoef(answered, by_hand)[0, 1] > 0.999
    # Practice is sure that a shorter string raises the brace: the bows taken together do so.
    assert np.mean(answered) > 0


def test_a_longer_string_lowers_the_brace_and_lengthens_the_draw(bow: Asked) -> None:
    """As a string that has crept: brace -, draw length +, weight +, axle to axle +."""
    change = moved(bow.model, {"string": QUARTER})
    assert family_brace(bow.model, {"string": QUARTER}) < 0 < change["draw_length"]
    assert change["peak"] > 0
    assert change["axle_to_axle"] > 0


def test_a_shorter_string_does_the_opposite(bow: Asked) -> None:
    """Practice is sure of brace +, draw length - and weight -, and of axle to axle says +/-."""
    change = moved(bow.model, {"string": -QUARTER})
    assert family_brace(bow.model, {"string": -QUARTER}) > 0 > change["draw_length"]
    assert change["peak"] < 0
    assert abs(change["axle_to_axle"]) < QUARTER


def test_shorter_cables_pull_the_axles_in_and_lengthen_the_draw(bow: Asked) -> None:
    """Axle to axle -, draw length + (the wheels begin further round), weight +."""
    change = moved(bow.model, cables(bow.model, -QUARTER))
    assert change["axle_to_axle"] < 0 < change["draw_length"]
    assert change["peak"] > 0


def test_stretched_cables_leave_axles_long_and_brace_short(bow: Asked) -> None:
    """Here practice is of two minds, and the model sides with the symptom rule.

    The rule tells stretched lines by axle to axle long and brace short, so shorter cables raise
    the brace. The table of turns gives brace - for shorter cables, from memory. In the model a
    shorter cable bends the limbs, whose tips come towards the archer with the string on them.
    """
    change = moved(bow.model, cables(bow.model, QUARTER))
    assert change["axle_to_axle"] > 0
    assert change["brace_height"] < 0
    longer = what_if(bow.model, cables(bow.model, QUARTER)).change["brace_height"]
    assert longer[0] + longer[1] < 0, "the family is not of one mind"


def test_one_cable_alone_parts_the_wheels(two_cam: Asked) -> None:
    """A cable alone shifts timing; both together, hardly; each of them the other way."""
    upper, lower, both = (
        what_if(two_cam.model, lines).change["timing"][0]
        for lines in (
            {"upper cable": 1e-3},
            {"lower cable": 1e-3},
            {"upper cable": 1e-3, "lower cable": 1e-3},
        )
    )
    assert upper * lower < 0
    assert abs(both) < 0.1 * abs(upper)


@pytest.mark.parametrize(
    ("longer", "field"),
    [({"power cable": 1e-3}, "line"), ({"string": 0.06}, "lines.string")],
)
def test_what_cannot_be_meant_is_refused(
    two_cam: Asked, longer: dict[str, float], field: str
) -> None:
    """A line the bow does not have, or more than 2 in."""
    with pytest.raises(SpecError) as caught:
        what_if(two_cam.model, longer)
    assert field in caught.value.field
