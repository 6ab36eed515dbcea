"""A crossbow's answers: what is asked, what its rail touches, left and right, a bolt's speed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from strandwright.bow.family import Known
from strandwright.errors import InputErrors, SpecError
from strandwright.planning.bow.answers import BowAnswers, answer_bow
from strandwright.planning.bow.data import bow_data
from strandwright.planning.bow.known import question, system_of
from strandwright.planning.bow.pictures import force_draw, frames, shown_draw
from strandwright.planning.bow.words import change_text
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.planning.strength.loads import stored_energy
from strandwright.planning.written import Written
from strandwright.workshop.job import Job, job_from_table

INCH, LBF = 0.0254, 4.4482216152605
PROD = {
    "crossbow": "recurve",
    "draw_weight": "200 lbf",
    "bow_length": "36 in",
    "draw_length": "20 in",
    "axle_to_axle": None,
    "shot": None,
    "now": {"brace_height": "6 3/4 in"},
}


def crossbow(**bow: Any) -> Job:
    """The example's job with other entries of its bow, None to leave one out."""
    table = example("FELL-1").model_dump(mode="json", exclude_defaults=True)
    table["bow"] = {k: v for k, v in (table["bow"] | bow).items() if v is not None}
    return job_from_table(table)


@pytest.fixture(scope="module", params=["compound", "recurve"])
def answered(request: pytest.FixtureRequest) -> tuple[Job, Plan, BowAnswers]:
    """A crossbow of either kind, answered."""
    job = crossbow(**({} if request.param == "compound" else PROD))
    plan = plan_line(job)
    return job, plan, answer_bow(job, plan)


def test_it_stands_and_draws_as_said(answered: tuple[Job, Plan, BowAnswers]) -> None:
    """Brace height, power stroke and draw weight are the job's; nothing is let off, no wall met."""
    job, _, answers = answered
    read, bow = answers.figures, job.bow
    assert bow.brace_height and bow.draw_length and bow.draw_weight
    assert read["brace_height"].value == pytest.approx(bow.brace_height.si, abs=2e-4)
    stroke = bow.draw_length.si - bow.brace_height.si
    assert read["power_stroke"].value == pytest.approx(stroke, abs=1e-3)
    assert abs(read["peak"].value - bow.draw_weight.si) < 3 * read["peak"].u
    assert not {"let_off", "draw_length", "holding"} & read.keys()
    assert answers.model.family.strung.bow.stops == ()


def test_the_rail_is_touched_about_the_middle(answered: tuple[Job, Plan, BowAnswers]) -> None:
    """As far to the left as to the right, its width at rest, and never less when drawn."""
    _, plan, answers = answered
    left, rail, right = answers.parts
    middle = 0.5 * plan.target.length.value
    assert (left.on.split()[0], rail.on, right.on.split()[0]) == ("left", "rail and latch", "right")
    assert 0.5 * (rail.start.value + rail.stop.value) == pytest.approx(middle, abs=1e-6)
    assert rail.at_brace.value == pytest.approx(INCH, rel=0.05)
    assert rail.stop.value - rail.start.value > 1.1 * rail.at_brace.value
    assert left.stop.value == pytest.approx(2 * middle - right.start.value, abs=1e-6)


def test_the_centre_serving_is_held_against_the_rail(
    answered: tuple[Job, Plan, BowAnswers],
) -> None:
    """What it is asked for lies about the middle too, past rail and latch on both sides."""
    _, plan, answers = answered
    centre = next(cover for cover in answers.covers if cover.name == "centre")
    rail = answers.parts[1]
    assert centre.wanted_start is not None and centre.wanted_stop is not None
    assert centre.wanted_start < rail.start.value - 0.5 * INCH
    assert centre.wanted_start + centre.wanted_stop == pytest.approx(
        plan.target.length.value, abs=1e-6
    )
    assert centre.times_needed is not None and centre.times_needed > 1.0


def test_a_wider_rail_asks_for_a_longer_serving() -> None:
    """By what it is wider over the sine of half the string's angle, from the same bows."""
    wanted: list[float] = []
    for rail in ("1 in +- 1/100", "1 1/2 in +- 1/100"):
        job = crossbow(rail=rail)
        answers = answer_bow(job, plan_line(job))
        touched = answers.parts[1]
        wanted.append(touched.stop.value - touched.start.value)
    assert wanted[1] == pytest.approx(1.5 * wanted[0], rel=0.01)


def test_left_and_right_are_turned_in_mirror_image() -> None:
    """A turn in one cable moves the centre mark as far as one in the other, the other way."""
    job = crossbow()
    turning = answer_bow(job, plan_line(job)).turning
    known = turning.passing
    assert known.lines == ("string", "right cable", "left cable")
    rows = {name: known.mean[k] for k, name in enumerate(known.figures)}
    assert set(rows) == {"brace_height", "axle_to_axle", "draw_weight", "centring"}
    assert rows["centring"][1] == pytest.approx(-rows["centring"][2], rel=1e-6)
    assert rows["centring"][0] == 0.0
    for name in ("brace_height", "axle_to_axle", "draw_weight"):
        assert rows[name][1] == pytest.approx(rows[name][2], rel=1e-6)
    # A turn shortens the cable that its own side's wheel takes up: the centre follows that side.
    assert rows["centring"][1] > 0.0


def test_turns_bring_the_centre_mark_home() -> None:
    """A mark to the left asks for unlike turns that move it right; one amid the rail for like."""
    plan = plan_line(crossbow())
    for mark, unlike in (("-1/8 in +- 1/64", True), ("0 in +- 1/64", False)):
        now = {"axle_to_axle": "20 1/2 in +- 1/32", "centring": mark}
        turning = answer_bow(crossbow(now=now), plan).turning
        home = turning.home
        assert home is not None
        _, right, left = home.turns
        assert (right > left) is unlike
        assert unlike or right == left
        off = [aim.figure for aim in turning.aims].index("centring")
        assert abs(home.expected[off]) <= abs(turning.aims[off].now) + 1e-9


def test_a_centre_mark_nobody_read_is_kept_where_it_is() -> None:
    """Both sides are then turned alike, as wheels are on a bow held upright."""
    turning = answer_bow(
        crossbow(now={"axle_to_axle": "20 1/2 in +- 1/32"}), plan_line(crossbow())
    ).turning
    assert [aim.figure for aim in turning.aims] == ["axle_to_axle", "centring"]
    assert turning.home is not None
    assert turning.home.turns[1] == turning.home.turns[2]


def test_words_are_a_crossbows(answered: tuple[Job, Plan, BowAnswers]) -> None:
    """A bolt, a latch, left and right, and its own cautions; nothing upper, lower or upright."""
    job, _, answers = answered
    data = bow_data(job, answers)
    assert (data["missile"], data["full"], data["crossbow"]) == ("bolt", "at the latch", True)
    assert data["kind"] == f"{job.bow.crossbow} crossbow"
    text = f"{data['figures']} {data['touches']} {data['turns']} {data['caution']}"
    assert not any(word in text for word in ("upper", "lower ", "draw length", "arrow", "let-off"))
    for word in ("dry fire", "stirrup", "below the rail", "decocking bolt", "manual"):
        assert word in data["caution"]
    assert any("friction" in said and "rail" in said for said in data["neglects"])
    assert " bolt" in data["speed"]["text"]


@pytest.mark.parametrize(
    ("name", "value", "u", "text"),
    [
        ("last_force", 2.0 * LBF, 0.5 * LBF, "+2.00 ± 1.00 lbf"),
        ("power_stroke", -0.01 * INCH, 0.0, "−0.010 ± 0.000 in"),
        ("centring", 0.02 * INCH, 0.005 * INCH, "0.020 ± 0.010 in right"),
        ("centring", -0.02 * INCH, 0.005 * INCH, "0.020 ± 0.010 in left"),
        ("centring", 0.0, 0.005 * INCH, "0.000 ± 0.010 in"),
        ("centring", 0.0, 0.0, "none"),
        ("timing", 1e-7, 1e-7, "none"),
        ("draw_weight", 0.004 * LBF, 0.002 * LBF, "+0.00 ± 0.01 lbf"),
    ],
)
def test_changes_have_their_unit_and_side(name: str, value: float, u: float, text: str) -> None:
    """A force at the latch is a force, and a mark's change says to which side."""
    assert change_text(name, value, u, Written.on(crossbow().paper)) == text


def test_pictures_run_from_the_brace_to_the_latch(answered: tuple[Job, Plan, BowAnswers]) -> None:
    """Draw is counted from the brace; the rail ends where the latch holds the string."""
    job, _, answers = answered
    model = answers.model
    cycle, rail = model.middle.cycle, model.question.known.rail
    first, *_, last = frames(cycle, Written.on(job.paper), rail)
    assert shown_draw(cycle, 0, crossbow=True) == 0.0
    assert last.rail is not None
    assert last.rail[1] == pytest.approx(last.nock[0], abs=1e-9)
    assert abs(last.nock[1]) < 1e-9
    assert (first.label, "latch" in last.label) == ("the crossbow at brace", True)
    curve = force_draw(job, model)
    assert (curve.along, curve.draw[0]) == ("power stroke", 0.0)
    assert job.bow.draw_length and job.bow.brace_height
    stroke = (job.bow.draw_length.si - job.bow.brace_height.si) / INCH
    assert curve.draw[-1] == pytest.approx(stroke, abs=0.05)


def test_points_of_a_draw_board_are_read_from_where_the_brace_is() -> None:
    """No 1 3/4 in is taken off, and on the picture they are counted from the brace."""
    board = [{"draw": "12 in", "force": "120 lbf"}, {"draw": "17 in", "force": "172 lbf"}]
    job = crossbow(draw_board=board)
    known = question(job, plan_line(job)).known
    assert isinstance(known, Known)
    assert [12 * INCH, 17 * INCH] == pytest.approx([draw for draw, _, _ in known.board])
    answers = answer_bow(job, plan_line(job))
    assert [5.0, 10.0] == pytest.approx([draw for draw, _ in force_draw(job, answers.model).board])
    cycle = answers.model.family.cycle
    force = [
        float(np.interp(12 * INCH, d, f)) for d, f in zip(cycle.draw, cycle.force, strict=True)
    ]
    assert np.mean(force) == pytest.approx(120 * LBF, rel=0.02)


def test_a_bolt_is_taken_where_none_is_named() -> None:
    """A usual bolt and not five grains a pound; the shot of a named one is learned from."""
    job = crossbow(arrow=None, shot=None)
    speed = answer_bow(job, plan_line(job)).speed
    assert speed is not None
    assert speed.arrow_assumed
    assert speed.arrow == pytest.approx(0.026, abs=0.002)
    shot = answer_bow(crossbow(), plan_line(crossbow())).speed
    assert shot is not None
    assert shot.measured
    assert shot.speed.value == pytest.approx(345 * 0.3048, rel=0.01)


def test_the_kind_says_how_the_lines_run() -> None:
    """Cables to the axles or from wheel to wheel; none without wheels, and none where not said."""
    assert system_of(crossbow()) == "two-cam"
    assert system_of(crossbow(cables="wheel to wheel")) == "slaved two-cam"
    assert system_of(crossbow(crossbow="recurve")) is None
    assert system_of(crossbow(crossbow=None)) is None


def test_wheel_to_wheel_is_answered_too() -> None:
    """Its cables end on the other wheel, so each is touched at both its ends."""
    job = crossbow(cables="wheel to wheel", now=None)
    answers = answer_bow(job, plan_line(job))
    lanes = {lane.line: [touch.on for touch in lane.touches] for lane in answers.model.lanes}
    assert lanes["left cable"] == ["right wheel", "left wheel"]
    assert lanes["right cable"] == ["left wheel", "right wheel"]


def test_all_that_is_missing_is_told_at_once() -> None:
    """The kind by its two words, the draw by how it is measured, each at its field."""
    job = crossbow(crossbow=None, draw_length=None)
    with pytest.raises(InputErrors) as caught:
        question(job, plan_line(job))
    first, second = caught.value.errors
    assert (first.field, second.field) == ("bow.crossbow", "bow.draw_length")
    assert "recurve" in first.rule and "compound" in first.rule
    assert "latch" in second.remedy and "power stroke" in second.remedy
    alone = crossbow(crossbow="recurve", axle_to_axle=None)
    with pytest.raises(SpecError) as told:
        question(alone, plan_line(alone))
    assert told.value.field == "bow.bow_length"


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("bow.draw_length", {"draw_length": "9 in"}),
        ("bow.draw_length", {"draw_length": "30 in"}),
        ("bow.brace_height", {"brace_height": "17 in"}),
        ("bow.axle_to_axle", {"axle_to_axle": "44 in"}),
        ("bow.bow_length", PROD | {"bow_length": "66 in"}),
        ("bow.draw_length", PROD | {"draw_length": "26 in"}),
        ("bow.draw_board[2].draw", {"draw_board": [
            {"draw": "12 in", "force": "120 lbf"}, {"draw": "24 in", "force": "150 lbf"}]}),
    ],
)  # fmt: skip
def test_a_figure_out_of_reach_is_refused_at_its_field(field: str, changes: dict[str, Any]) -> None:
    """What no crossbow measures is told before any is looked for."""
    job = crossbow(**changes)
    with pytest.raises(SpecError) as caught:
        question(job, plan_line(job))
    assert caught.value.field == field
    assert caught.value.remedy


def test_one_with_wheels_stores_more_than_its_limbs_alone_would() -> None:
    """By practice; a crossbow whose kind is not said keeps what it was taken to store before."""
    told, unsaid = stored_energy(crossbow()), stored_energy(crossbow(crossbow=None))
    limbs = stored_energy(crossbow(crossbow="recurve"))
    assert told is not None and unsaid is not None and limbs is not None
    assert told.value > 1.1 * limbs.value
    assert unsaid.value == limbs.value
