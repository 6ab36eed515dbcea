"""A new string made from a recurve or longbow alone."""

from __future__ import annotations

from typing import Any

import pytest

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.planning.plan_line import plan_line
from strandwright.planning.take_off.new_line import job_from_shorthand

INCH = 0.0254
BENCH = {"name": "bench", "zero_post": "1/2 in", "longest": "80 in", "rating": "400 lbf"}
BOW = {
    "kind": "recurve", "draw_weight": "44 lbf", "bow_length": "66 in",
    "brace_height": "8 3/8 in", "draw_length": "28 in", "nock_height": "1/2 in",
}  # fmt: skip


def entry(bow: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """What the page of a new line sends."""
    typed = {"id": "NEW-1", "name": "String", "shorthand": "", "kind": "string", "bow": bow}
    return {
        **typed, "strand": "hmpe", "strands": 16, "thread": "braid-018", "loop": "3 in", **changes
    }  # fmt: skip


def test_the_bow_is_enough() -> None:
    """Loops with 4 in of legs, a centre about the nocking point, the length by the standard."""
    plan = plan_line(job_from_shorthand(entry(BOW), BENCH))
    assert plan.target.length.value == pytest.approx(63.0 * INCH, abs=1e-6)
    lower, centre, upper = plan.servings
    assert lower.stop.value == pytest.approx(7.0 * INCH, abs=INCH / 8)
    assert 63.0 * INCH - upper.start.value == pytest.approx(7.0 * INCH, abs=INCH / 8)
    # The lower limb is the zero end: 5 in under the nocking point come first.
    assert centre.start.value == pytest.approx((31.5 + 0.5 - 5.0) * INCH, abs=INCH / 8)


def test_without_a_nocking_point_the_centre_is_left_out() -> None:
    """It is not guessed; it can be added on the line's page."""
    bow = {name: value for name, value in BOW.items() if name != "nock_height"}
    assert [s.use for s in job_from_shorthand(entry(bow), BENCH).line.servings] == ["loop", "loop"]


def test_a_brace_height_wanted_moves_the_length() -> None:
    """Higher than before wants a shorter string."""
    wanted = BOW | {"wanted": {"brace_height": "8 3/4 in"}}
    plan = plan_line(job_from_shorthand(entry(wanted), BENCH))
    assert 62.4 * INCH < plan.target.length.value < 62.8 * INCH


@pytest.mark.parametrize(
    ("bow", "kind"),
    [
        (BOW | {"kind": "two-cam"}, "string"),
        (BOW, "cable"),
        ({"kind": "recurve"}, "string"),
        ("recurve", "string"),
    ],
)
def test_otherwise_a_shorthand_is_asked_for(bow: Any, kind: str) -> None:
    """A bow with wheels, a cable, a bow of no length: nothing tells the line."""
    with pytest.raises(SpecError, match=r"line\.shorthand") as told:
        job_from_shorthand(entry(bow, kind=kind), BENCH)
    assert "the length of the bow" in told.value.remedy


def test_a_loop_without_a_size_is_asked_for() -> None:
    """Its legs cannot be laid off without it."""
    with pytest.raises((InputError, InputErrors), match="zero_end"):
        job_from_shorthand(entry(BOW, loop=""), BENCH)


def test_a_laid_in_string_needs_no_shorthand_either() -> None:
    """Laid loops have no serving round them; how near it must land can be said."""
    laid = entry(BOW | {"kind": "longbow"}, laid={"bundles": 3}, tolerance="1/8 in")
    line = job_from_shorthand(laid, BENCH).line
    assert [s.use for s in line.servings] == ["centre"]
    assert line.laid is not None
    assert (line.laid.bundles, line.zero_end.thread) == (3, None)
    assert line.tolerance is not None
    assert line.tolerance.text == "1/8 in"


def test_a_strap_needs_no_throat() -> None:
    """It hangs in the eye of a straight cable, none of whose servings ties a fork."""
    bow = {"kind": "two-cam", "draw_weight": "60 lbf"}
    told = {"kind": "cable", "shorthand": "27: 0-9, 3 3/4-0", "loop": "7/8 in"}
    strap = entry(bow, **told, yoke={"made": "strap", "leg": "8 in"})
    line = job_from_shorthand(strap, BENCH).line
    assert [s.use for s in line.servings] == ["end", "end"]
    assert line.yoke is not None
    assert line.yoke.made == "strap"
    with pytest.raises(SpecError, match="must say how far"):
        job_from_shorthand(entry(bow, **told, yoke={"made": "strap"}), BENCH)
