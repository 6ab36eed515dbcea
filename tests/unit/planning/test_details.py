"""Details of a line: split, peep, marks, ties, braced places, separator, patches, rules."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import pytest

from sample_job import CABLE, GRAIN, INCH, LBF, MERE, RIDGE, example_plan, job_of, plan_of
from strandwright.errors import InputError, InputErrors
from strandwright.planning.details.braced import braced_places
from strandwright.planning.details.held import prepared_line
from strandwright.planning.details.marks import kind_of_mark, nock_of, tied_marks, usual_mass
from strandwright.planning.details.patches import patches
from strandwright.planning.details.peep import (
    DrawLoads,
    PeepTurn,
    degrees_of,
    peep_answers,
    plan_loads,
)
from strandwright.planning.details.rules import rules_seen
from strandwright.planning.details.separator import separator_cut
from strandwright.planning.details.speckle import flecks_by_name, separator_pictures, with_flecks
from strandwright.planning.details.split import peep_split, split_said
from strandwright.planning.details.straighten import off_straight, sense_said, straighten
from strandwright.planning.entries.refusals import refuse_impossible
from strandwright.planning.estimate import Estimate
from strandwright.planning.picture import strip_picture
from strandwright.planning.replan import quick_plan
from strandwright.workshop.parts import MarkSpec

LOADS = DrawLoads(
    Estimate(250 * LBF, 10 * LBF, "N"), Estimate(80 * LBF, 8 * LBF, "N"), "made for a test"
)


def colours(*counts: int) -> dict[str, Any]:
    """Give make-ups of colours by their counts."""
    rows = [
        {"name": f"c{k}", "colour": f"#{k + 1}0{k + 1}0{k + 1}0", "strands": n}
        for k, n in enumerate(counts)
    ]
    return {"makeup.strands": sum(counts), "makeup.colours": rows, "makeup.pattern": "free"}


# ------------------------------------------------------------------------------------- the split


def test_two_equal_colours_are_the_split() -> None:
    """Each colour is a group, and they lie together."""
    split = peep_split(job_of(RIDGE))
    assert (("spruce",), ("straw",)) == split.groups
    assert split.by_colour and split.is_even and split.beside
    assert split_said(split) == ("between spruce and straw, 12 and 12 strands",)


@pytest.mark.parametrize(
    ("counts", "by_colour", "strands"),
    [
        ((24,), False, (12, 12)),
        ((8, 8, 8), False, (12, 12)),
        ((6, 12, 6), True, (12, 12)),
        ((13, 12), True, (13, 12)),
        ((10, 14), False, (12, 12)),
    ],
)
def test_colours_that_do_not_part_evenly_are_told(
    counts: tuple[int, ...], by_colour: bool, strands: tuple[int, int]
) -> None:
    """A split follows whole colours or says that it cannot; odd counts are told."""
    split = peep_split(job_of(RIDGE, colours(*counts)))
    said = " ".join(split_said(split))
    assert by_colour == split.by_colour
    assert strands == split.strands
    assert by_colour != ("do not part" in said)
    assert ("an odd count" in said) == (strands[0] != strands[1])


# ------------------------------------------------------------------------------------- the peep


def _turns(plan: Any) -> tuple[PeepTurn, ...]:
    return peep_answers(plan, LOADS)[0].turns


def test_a_peep_answers_by_what_may_hold() -> None:
    """The loops, then tracks, then the nocking point: each stretch lies inside the one before."""
    names = [turn.hold.name for turn in _turns(example_plan())]
    assert names == ["the loops hold", "tracks hold too", "the nocking point holds too"]
    holds = [turn.hold for turn in _turns(example_plan())]
    for wide, narrow in itertools.pairwise(holds):
        assert wide.start <= narrow.start < narrow.stop <= wide.stop


def test_every_turn_has_its_plus_minus_and_what_makes_it() -> None:
    """The +- is over nothing, its budget sums to one, unequal strands are among the first."""
    for turn in _turns(example_plan()):
        assert turn.turn.u > 0.0
        assert sum(row.share for row in turn.budget) == pytest.approx(1.0)
        first = {row.parameter for row in turn.budget[:3]}
        assert first & {"uneven_before", "uneven_after"}


def test_half_turns_at_both_ends_together_turn_it_half_a_turn() -> None:
    """What both ends do adds up to a half turn, and each to less."""
    for turn in _turns(example_plan()):
        assert turn.by_zero_end.value < 0.0 < turn.by_far_end.value
        both = turn.by_far_end.value - turn.by_zero_end.value
        assert both == pytest.approx(0.5, abs=1e-9)


def _symmetrical(changes: dict[str, Any] | None = None) -> dict[str, Any]:
    """A string with a peep in its middle, served alike at both ends before the twist."""
    served = [
        {"name": "lower", "use": "free", "thread": "braid-018", "start": "0 in", "stop": "15 in"},
        {"name": "upper", "use": "free", "thread": "braid-018", "start": "42 1/4 in",
         "stop": "57 1/4 in"},
    ]  # fmt: skip
    return {
        "route.order": "serve, then twist",
        "line.servings": served,
        "line.marks": [{"name": "peep", "at": "28 5/8 in"}],
        **(changes or {}),
    }


def test_a_peep_amid_a_symmetrical_string_does_not_turn() -> None:
    """At the means nothing turns it, whatever the loads; the +- remains."""
    (turn,) = _turns(plan_of(RIDGE, _symmetrical()))
    assert abs(degrees_of(turn.turn.value)) < 0.2
    assert turn.turn.u > 0.0
    assert turn.by_far_end.value == pytest.approx(0.25, abs=2e-3)


def test_a_string_turned_end_for_end_turns_its_peep_the_other_way() -> None:
    """Marks and servings mirrored: the same angle in the other sense."""
    served = _symmetrical()["line.servings"]
    long = [{**served[0], "stop": "24 in"}, served[1]]
    short = [served[0], {**served[1], "start": "33 1/4 in"}]
    (one,) = _turns(plan_of(RIDGE, _symmetrical({"line.servings": long})))
    (other,) = _turns(plan_of(RIDGE, _symmetrical({"line.servings": short})))
    assert abs(degrees_of(one.turn.value)) > 2.0
    assert other.turn.value == pytest.approx(-one.turn.value, rel=2e-2)
    # A falling load lets the served side give back turns, which the bare side winds up with.
    assert one.turn.value < 0.0


def test_the_hand_turns_the_words_round() -> None:
    """S and Z go opposite ways by the same angle; so do the two ends one looks from."""
    z, s = (sense_said(0.1, hand, "lower cam", "upper cam") for hand in "ZS")
    assert z.startswith("clockwise") and z.endswith("to the right")
    assert s.startswith("anticlockwise") and s.endswith("to the left")
    top = sense_said(0.1, "Z", "upper limb", "lower limb")
    assert top.startswith("clockwise") and top.endswith("to the left")
    assert "archer" not in sense_said(0.1, "Z", "this end", "that end")


def test_no_load_is_told_and_a_cable_has_no_peep() -> None:
    """Without a draw weight the split is told alone; a peep on a cable is only a mark."""
    bare = {"bow.draw_weight": None}
    (answer,) = plan_of(RIDGE, bare).peeps
    assert answer.loads is None and answer.turns == ()
    assert plan_of(CABLE, {"line.marks": [{"name": "peep", "at": "10 in"}]}).peeps == ()


def test_wheels_let_the_string_off() -> None:
    """At full draw it bears what holds the bow; a recurve's bears the most there."""
    loads = plan_loads(example_plan())
    assert loads is not None
    assert loads.drawn.value == pytest.approx(0.2 * 60 * LBF / (2 * 0.85))
    bent = plan_loads(example_plan(MERE))
    assert bent is not None
    assert bent.drawn.value > bent.braced.value * 0.9


def test_a_plan_that_follows_the_hand_has_no_plus_minus_here() -> None:
    """A carried plan answers at the means at once, near the whole plan's answer."""
    near = example_plan()
    moved = quick_plan(job_of(RIDGE, {"line.marks.1.at": "34 1/2 in"}), near)
    assert moved.carried
    for turn in _turns(moved):
        assert turn.turn.u == 0.0
        assert turn.budget == ()


# --------------------------------------------------------------------------------- bring straight


def _case(zero: float, far: float) -> PeepTurn:
    made = _turns(example_plan())[0]
    ends = [Estimate(v, 0.0, "turn") for v in (zero, far)]
    return replace(made, by_zero_end=ends[0], by_far_end=ends[1])


def test_a_whole_turn_off_is_straight() -> None:
    """Only the rest of whole turns counts."""
    assert off_straight(1.02) == pytest.approx(0.02)
    assert off_straight(-0.75) == pytest.approx(0.25)
    assert straighten(2.0, _case(-0.25, 0.25), 24, -1e-3).is_nothing


@pytest.mark.parametrize("off", [0.08, 0.2, 0.31, 0.45, -0.12, -0.33, -0.5])
def test_what_is_told_brings_it_nearer(off: float) -> None:
    """The turns told leave what is said, and less than there was."""
    case = _case(-0.2, 0.3)
    found = straighten(off, case, 24, -1e-3)
    left = off + 2 * (found.zero_end * -0.2 + found.far_end * 0.3)
    assert off_straight(left) == pytest.approx(found.leaves, abs=1e-9)
    assert abs(found.leaves) < abs(off)
    assert found.longer == pytest.approx(-1e-3 * (found.zero_end + found.far_end))
    assert found.strands == round(24 * abs(off))


def test_the_fewest_half_turns_win() -> None:
    """One half turn at the end that does it, not four of both."""
    found = straighten(0.25, _case(-0.25, 0.25), 24, -1e-3)
    assert (found.zero_end, found.far_end) in ((0.5, 0.0), (0.0, -0.5))
    assert found.leaves == pytest.approx(0.0)


# ------------------------------------------------------------------------------- marks and ties


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("nock", "nocking point"), ("D-shaped loop at the nock", "string loop"), ("peep", "peep"),
        ("upper silencer", "silencer"), ("speed weight", "weight"), ("lip mark", "button"),
        ("string stop", "stop"), ("centre mark", "centre"), ("ribbon", "other"),
    ],
)  # fmt: skip
def test_plain_names_tell_the_kind(name: str, kind: str) -> None:
    """A kind that is given counts before the name."""
    job = job_of(RIDGE, {"line.marks": [{"name": name, "at": "20 in"}]})
    assert kind == kind_of_mark(job.line.marks[0])
    told = job.line.marks[0].model_copy(update={"kind": "weight"})
    assert kind_of_mark(told) == "weight"


def test_a_usual_mass_stands_in_and_moves_nothing_else() -> None:
    """It is told as usual, is not in the line's mass, and a given one replaces it."""
    plan = example_plan()
    nock, peep = tied_marks(plan)
    assert nock.is_usual and not peep.is_usual
    assert nock.mass.value == usual_mass("nocking point").value
    assert nock.weight == pytest.approx(1.0)
    assert peep.mass.value == pytest.approx(12 * GRAIN)
    without = plan_of(RIDGE, {"line.marks.0.kind": "centre"})
    assert without.mass.value == plan.mass.value
    assert usual_mass("centre").value == 0.0


def test_a_mass_counts_less_towards_the_ends() -> None:
    """(1 - xi)^2 of it: all at the nock, a quarter half way, nothing at an end."""
    at = [{"name": "nock", "at": "28 in"}, {"name": "w weight", "at": "14 in"},
          {"name": "e weight", "at": "57 1/4 in"}]  # fmt: skip
    felt = {m.name: m.weight for m in tied_marks(plan_of(RIDGE, {"line.marks": at}))}
    assert felt["nock"] == pytest.approx(1.0)
    assert felt["w weight"] == pytest.approx(0.25, abs=2e-3)
    assert felt["e weight"] == pytest.approx(0.0, abs=1e-3)


def test_braced_places_keep_their_order_and_grow_with_the_load() -> None:
    """Over the same pins at the measuring load nothing moves; at more it is longer."""
    plan = plan_of(RIDGE, {"bow.pegs": None, "line.zero_end.peg": None, "line.far_end.peg": None})
    places = [m.position.value for m in plan.marks]
    load = plan.target.measuring_load
    same = braced_places(plan, places, replace(LOADS, braced=Estimate(load, 0.0, "N")))
    more = braced_places(plan, places, replace(LOADS, braced=Estimate(3 * load, 0.0, "N")))
    assert same is not None and more is not None
    for place, there in zip(places, same.places, strict=True):
        assert there == pytest.approx(place, abs=2e-3)
    assert more.length > same.length
    assert same.places[0] < same.places[1]
    strain = (more.length - same.length) / same.length
    q = prepared_line(plan).parameters.value("stiffness")
    assert strain == pytest.approx(2 * load / 24 / q, rel=0.2)


# -------------------------------------------------------------------- colours and the separator


SPECKLED = {"makeup.colours.0.second": "#FFCC00", "makeup.colours.0.third": "#AA0000"}


def test_speckled_strands_carry_their_flecks() -> None:
    """Every strand of that colour and no other; plain jobs are drawn as before."""
    plan = plan_of(RIDGE, SPECKLED)
    picture = strip_picture(plan)
    flecked = {s.colour_name: s.flecks for s in picture.strands}
    assert flecked == {"spruce": ("#FFCC00", "#AA0000"), "straw": ()}
    assert flecks_by_name(job_of(RIDGE)) == {}
    plain = strip_picture(example_plan()).strands
    assert with_flecks(plain, job_of(RIDGE)) is plain


def test_a_separator_is_cut_and_drawn_and_bears_nothing() -> None:
    """One run from post to post with two tails; strands, mass, strength as without it."""
    plan = plan_of(RIDGE, {"makeup.separator": {"colour": "#FFFFFF", "thread": "braid-018"}})
    bare, cut = example_plan(), separator_cut(plan)
    assert cut is not None
    assert cut.after == "spruce"
    assert cut.length == pytest.approx(57.5 * INCH + 2 * plan.winding.tail_cut, rel=0.02)
    assert plan.mass == bare.mass
    assert plan.strength == bare.strength
    assert plan.winding.strands == bare.winding.strands
    (drawn,) = separator_pictures(strip_picture(plan).strands, plan.job)
    assert drawn.colour == "#FFFFFF"
    assert separator_cut(bare) is None


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"makeup.colours.0.third": "#AA0000"}, "makeup.colours[1].third"),
        ({"makeup.colours.0.second": "#2f6b57"}, "makeup.colours[1].second"),
        ({"makeup.separator": {"thread": "no such"}}, "makeup.separator.thread"),
        ({"makeup.separator": {"name": "Straw"}}, "makeup.separator.name"),
    ],
)
def test_what_cannot_be_meant_is_refused(changes: dict[str, Any], field: str) -> None:
    """Field, value, rule and remedy."""
    with pytest.raises((InputError, InputErrors)) as caught:
        refuse_impossible(job_of(RIDGE, changes))
    error = caught.value
    assert isinstance(error, InputError)
    assert error.field == field
    assert error.rule and error.remedy


# ------------------------------------------------------------------------------ rules, patches


def _finding(plan: Any, words: str) -> str:
    return next(seen.finding for seen in rules_seen(plan) if words in seen.rule)


def test_no_class_no_rules() -> None:
    """Nothing is said unless the job names a class; a cable has no rules."""
    assert rules_seen(example_plan()) == ()
    assert rules_seen(plan_of(CABLE, {"bow.rules": "compound"})) == ()


def test_a_recurve_class_finds_a_peep_a_second_nock_and_a_loop() -> None:
    """What the job shows against a rule is told; what it shows nothing of is to be looked at."""
    marks = [{"name": "nock", "at": "31 in"}, {"name": "nock 2", "at": "33 in"},
             {"name": "peep", "at": "36 in"}, {"name": "string loop", "at": "31 1/2 in"},
             {"name": "tassel", "at": "40 in"}, {"name": "lip button", "at": "38 in"}]  # fmt: skip
    plan = plan_of(MERE, {"bow.rules": "recurve", "line.marks": marks})
    for words in ("one nocking point", "no peep", "string loop", "one lip or nose mark"):
        assert _finding(plan, words) == "against it"
    assert _finding(plan, "pressure point") == "look for yourself"
    clean = plan_of(MERE, {"bow.rules": "recurve"})
    for words in ("one nocking point", "no peep", "one lip or nose mark", "any number"):
        assert _finding(clean, words) == "nothing against it"


@pytest.mark.parametrize(
    ("top", "finding"), [("33 in", "nothing against it"), ("36 1/2 in", "look for yourself")]
)
def test_a_serving_that_ends_by_the_eye_is_to_be_looked_at(top: str, finding: str) -> None:
    """Its upper end well clear of where the eye is, or near it."""
    changes = {
        "bow.rules": "barebow",
        "line.zero_end.name": "lower limb",
        "line.far_end.name": "upper limb",
        "line.servings.1.start": "27 in",
        "line.servings.1.stop": top,
        "line.shorthand": "63: 0-7 1/2, 7-0",
    }
    assert _finding(plan_of(MERE, changes), "vision") == finding


def test_silencers_and_weight_have_their_limits() -> None:
    """30 cm from the nocking point, 60 lb of peak weight; just past is against the rule."""
    for at, finding in (("42 3/4 in", "against it"), ("43 1/4 in", "nothing against it")):
        marks = [{"name": "nock", "at": "31 1/4 in"}, {"name": "silencer", "at": at}]
        plan = plan_of(MERE, {"bow.rules": "longbow", "line.marks": marks})
        assert _finding(plan, "silencers") == finding
    for weight, finding in (("60 lbf", "nothing against it"), ("61 lbf", "against it")):
        plan = plan_of(RIDGE, {"bow.rules": "compound", "bow.draw_weight": weight})
        assert _finding(plan, "peak draw weight") == finding


def test_rules_never_say_more_than_they_see() -> None:
    """No row calls a string allowed; each names where its rule was read."""
    for named, example in (("recurve", MERE), ("compound", RIDGE), ("flatbow", "tarn-string")):
        for seen in rules_seen(plan_of(example, {"bow.rules": named})):
            words = f"{seen.rule} {seen.seen} {seen.finding}".lower()
            assert "legal" not in words
            assert seen.source
    section = plan_of(MERE, {"bow.rules": "recurve"}).details[-1]
    assert "judge" in section.notes[0]


def test_patches_are_held_against_what_touches() -> None:
    """Covered, short by a part, or without a serving: the wanted edges are told."""
    from strandwright.planning.bow.touched import TouchedPart

    def part(start: float, stop: float, on: str = "string stop") -> TouchedPart:
        low, high = (Estimate(v * INCH, 0.05 * INCH, "m") for v in (start, stop))
        return TouchedPart(on, low, high, Estimate(0.01, 0.0, "m"), to_end=False)

    plan = example_plan()
    covered, short, bare = (
        patches(plan, [part(*ends)])[0] for ends in ((21.2, 21.5), (21.2, 22.2), (36.0, 37.0))
    )
    assert covered.served_by == "stop" and covered.short == pytest.approx(0.0, abs=1e-9)
    assert short.served_by == "stop" and short.short > 0.005
    assert bare.served_by == "" and bare.use == "stop"
    assert (bare.start, bare.stop) == pytest.approx((35.4 * INCH, 37.6 * INCH))
    assert patches(plan, [part(36.0, 37.0, "upper wheel")]) == ()
    assert patches(plan, [part(36.0, 37.0, "roller")])[0].use == "track"


def test_every_section_is_rows_of_three_texts() -> None:
    """The faces print them as they are, with sentences for notes."""
    plan = plan_of(RIDGE, {"bow.rules": "compound", "makeup.separator": {}, **SPECKLED})
    keys = [section.key for section in plan.details]
    assert keys == ["peep", "marks", "tying", "separator", "rules"]
    for section in plan.details:
        assert section.title
        assert all(len(row) == 3 and row[0] and row[1] for row in section.rows)


def test_nock_is_the_middle_of_several() -> None:
    """One or two locators: the point between is theirs."""
    marks = [{"name": f"nock {k}", "at": f"{28 + k} in"} for k in range(3)]
    nock = nock_of(plan_of(RIDGE, {"line.marks": marks}))
    assert nock is not None and nock.name == "nock 1"
    assert MarkSpec.model_fields["kind"].default is None
