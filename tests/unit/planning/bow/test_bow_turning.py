"""What turns do to a bow, what trials teach, and the way home of a bow put out of tune."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from asked_bow import Asked

from sample_job import INCH, LBF, job_of
from strandwright.bow.family import Family, taken
from strandwright.bow.figures import Figures
from strandwright.errors import SpecError
from strandwright.planning.bow.model import BowModel, what_if
from strandwright.planning.bow.turning import Turning, turning
from strandwright.planning.bow.turning_data import home_data
from strandwright.planning.written import Written

#: Half a dozen readings each: noise of one, and how near the figure is wanted, both as 95 %.
NOISE = {"brace_height": INCH / 64, "axle_to_axle": INCH / 64, "draw_length": INCH / 64,
         "draw_weight": 0.2 * LBF}  # fmt: skip
WITHIN = {"brace_height": INCH / 16, "axle_to_axle": INCH / 16, "draw_length": INCH / 16,
          "draw_weight": 0.75 * LBF}  # fmt: skip
IN_MODEL = {"draw_weight": "peak"}


def turned(bow: Asked, **changes: Any) -> Turning:
    """Ask the bow again with other readings."""
    job = job_of(bow.name, {f"bow.{name}": value for name, value in changes.items()})
    return turning(job, bow.plan, bow.model)


def plain(bow: Asked) -> Turning:
    """Ask a bow nobody has read or tried."""
    return turned(bow, now=None, wanted=None, trials=None)


def written(name: str, value: float, half: float) -> str:
    """Write a figure with its +-, as the bench would."""
    size, unit = (LBF, "lbf") if name == "draw_weight" else (INCH, "in")
    return f"{value / size:.4f} {unit} +- {half / size:.4f}"


def read(figures: Figures) -> dict[str, float]:
    """Read the four figures off a bow."""
    return {n: float(getattr(figures, IN_MODEL.get(n, n))[0]) for n in NOISE}


def test_turns_shorten_lines(two_cam: Asked) -> None:
    """A turn put in shortens every line, and what it does has the sign of a shorter line."""
    found = plain(two_cam)
    assert all(change < 0 for change in found.per_turn.values())
    table = {name: found.passing.mean[k] for k, name in enumerate(found.passing.figures)}
    string = found.passing.lines.index("string")
    assert table["brace_height"][string] > 0 > table["draw_length"][string]
    assert all(table["axle_to_axle"] < 0)
    assert (found.home, found.whole, found.aims) == (None, None, ())


def test_a_trial_teaches_what_a_turn_does(one_cam: Asked) -> None:
    """Twice the draw length that was expected: the coefficient goes there, and is surer."""
    before = plain(one_cam).passing
    k, j = before.figures.index("draw_length"), before.lines.index("string")
    expected = 4.0 * before.mean[k, j]
    start = 29.6 * INCH
    trial = {
        "turns": [{"line": "string", "turns": 4}],
        "before": {"draw_length": written("draw_length", start, INCH / 64)},
        "after": {"draw_length": written("draw_length", start + 2.0 * expected, INCH / 64)},
    }
    after = turned(one_cam, now=None, wanted=None, trials=[trial]).passing
    assert after.mean[k, j] < before.mean[k, j] < 0
    assert after.uncertainty[k, j] < before.uncertainty[k, j]
    assert abs(4.0 * after.mean[k, j] - 2.0 * expected) < abs(expected)
    assert "1 trial on this bow" in after.source


def test_a_trial_as_expected_moves_nothing_and_makes_surer(one_cam: Asked) -> None:
    """The mean stays; only the doubt shrinks."""
    before = plain(one_cam).passing
    k, j = before.figures.index("draw_length"), before.lines.index("cable")
    start = 29.6 * INCH
    trial = {
        "turns": [{"line": "cable", "turns": 3}],
        "before": {"draw_length": f"{start / INCH:.6f} in +- 0.005"},
        "after": {"draw_length": f"{(start + 3 * before.mean[k, j]) / INCH:.6f} in +- 0.005"},
    }
    after = turned(one_cam, now=None, wanted=None, trials=[trial]).passing
    assert after.mean == pytest.approx(before.mean, rel=2e-3, abs=1e-9)
    assert after.uncertainty[k, j] < 0.5 * before.uncertainty[k, j]


def test_a_trial_of_another_bow_s_line_is_refused(two_cam: Asked) -> None:
    """The line is named, and those there are."""
    trial = {"turns": [{"line": "cable", "turns": 1}], "before": {}, "after": {}}
    with pytest.raises(SpecError) as caught:
        turned(two_cam, trials=[trial])
    assert caught.value.field == "bow.trials[1].turns[1].line"
    assert "string, upper cable, lower cable" in caught.value.rule


def test_what_is_not_wanted_otherwise_is_what_the_bow_measured(two_cam: Asked) -> None:
    """Readings alone are enough; practice says how near, and the wheels are kept together."""
    found = turned(two_cam, now={"brace_height": "6 3/4 in", "draw_weight": "61 lbf"})
    aims = {aim.figure: aim for aim in found.aims}
    assert set(aims) == {"brace_height", "draw_weight", "timing"}
    assert aims["brace_height"].wanted == pytest.approx(6.875 * INCH)
    assert aims["brace_height"].within == pytest.approx(INCH / 8)
    assert aims["draw_weight"].wanted == pytest.approx(60 * LBF)


def test_a_plus_or_minus_on_what_is_wanted_says_how_near(two_cam: Asked) -> None:
    """And one on the bow's own figure says how well that was read, which is another thing."""
    now = {"brace_height": "6 3/4 in", "axle_to_axle": "33 in"}
    found = turned(
        two_cam,
        now=now,
        wanted={"brace_height": "7 in +- 1/32"},
        axle_to_axle="33 in +- 1/64",
    )
    aims = {aim.figure: aim for aim in found.aims}
    assert aims["brace_height"].within == pytest.approx(INCH / 32)
    assert aims["axle_to_axle"].within == pytest.approx(INCH / 8)


def test_a_whole_inch_is_read_as_finely_as_any_other(two_cam: Asked) -> None:
    """A brace height that falls on 7 in is not doubtful by half an inch."""
    aims = turned(two_cam, now={"brace_height": "7 in"}).aims
    assert aims[0].now_u <= INCH / 8


def detuned(model: BowModel, member: int) -> BowModel:
    """Give the model with one of its family in the middle, to stand for the true bow."""
    assert isinstance(model.family, Family)
    return replace(model, middle=taken(model.family, np.array([member])))


@pytest.mark.parametrize(
    ("which", "put_in"),
    [
        ("one_cam", {"string": 4.0, "cable": -3.0}),
        ("one_cam", {"string": -5.0, "cable": 0.0}),
        ("two_cam", {"string": 3.0, "upper cable": -4.0, "lower cable": -4.0}),
        ("two_cam", {"string": -4.0, "upper cable": 0.0, "lower cable": 0.0}),
    ],
)
@pytest.mark.parametrize("member", [3, 11])
def test_a_bow_put_out_of_tune_is_brought_home(
    request: pytest.FixtureRequest, which: str, put_in: dict[str, float], member: int
) -> None:
    """A bow of the family is put out by known turns, read with noise, and the turns asked for.

    Put in exactly, they bring every figure of that very bow within what was asked, though what
    was asked of is the whole family.
    """
    bow: Asked = request.getfixturevalue(which)
    true = detuned(bow.model, member)
    per_turn = plain(bow).per_turn
    home = read(true.middle.figures)
    out = read(what_if(true, {line: n * per_turn[line] for line, n in put_in.items()}).figures)
    rng = np.random.default_rng(20 + member)
    now = {n: written(n, v + 0.5 * NOISE[n] * rng.standard_normal(), NOISE[n])
           for n, v in out.items()}  # fmt: skip
    wanted = {n: written(n, v, WITHIN[n]) for n, v in home.items()}
    assert any(abs(out[n] - home[n]) > WITHIN[n] for n in home), "it was never out of tune"

    found = turned(bow, now=now, wanted=wanted, trials=None)
    assert found.home is not None
    given = dict(zip(found.passing.lines, found.home.turns, strict=True))
    assert all(turns == round(2 * turns) / 2 for turns in given.values())
    after = {line: (put_in[line] + given[line]) * per_turn[line] for line in put_in}
    back = read(what_if(true, after).figures)
    for name, value in back.items():
        assert abs(value - home[name]) <= WITHIN[name], (name, given)


def test_whole_turns_are_whole_and_no_nearer(one_cam: Asked) -> None:
    """The coarser choice cannot miss by less, work and all."""
    found = turning(one_cam.job, one_cam.plan, one_cam.model)
    assert found.home is not None
    assert found.whole is not None
    assert all(turns == round(turns) for turns in found.whole.turns)
    assert found.home.miss <= found.whole.miss + 0.2


@pytest.mark.parametrize("read", ["29 in +- 1/64", "29 1/4 in +- 1/64", "28 13/16 in +- 1/64"])
def test_the_order_of_work_names_only_lines_that_are_turned(two_cam: Asked, read: str) -> None:
    """Nobody is sent to a cable that is left as it is, nor to settle a bow nobody touched."""
    found = turned(two_cam, now={"draw_length": read})
    told = home_data(found, Written.on(two_cam.plan.job.paper))
    assert told is not None
    acts = [act for part in ("half", "whole") for act in told[part]["acts"]]
    moved = {act["line"] for act in acts if act["turns"]}
    order = told["order"]
    assert ("the string" in order) == ("string" in moved)
    assert any("cable" in text for text in order) == any("cable" in line for line in moved)
    assert (order[-1:] == ["settle, and read again"]) == bool(moved)
