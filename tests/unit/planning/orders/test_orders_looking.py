"""What is not known of a bow yet: whether it is whole comes first, what needs a draw comes last."""

from __future__ import annotations

import pytest

from order_events import BASELINE, event, measured, opened, sound, state_of
from strandwright.planning.orders.looking import figures_of, may_draw, missing, unlooked
from strandwright.workshop.order_state import fold

WHEELED, BENT = ("one-cam", "two-cam", "hybrid-cam"), ("recurve", "longbow")


def names(state, part=None):
    """Name what is missing, of one part or of all."""
    return [one.name for one in missing(state) if part in (None, one.part)]


def test_a_bow_nobody_looked_at_is_looked_at_before_anything_is_read():
    """Then the pictures, the figures at rest, and the figures that need a draw not at all."""
    found = missing(state_of(opened(bow={"kind": "two-cam"})))
    parts = [one.part for one in found]
    assert ["look", "photo", "baseline"] == list(dict.fromkeys(parts))
    assert "dry-fired" == found[0].name
    assert "draw_weight" not in names(state_of(opened()))


def test_nothing_opened_asks_for_the_bow():
    """All else follows from its kind."""
    assert ["kind"] == names(fold([]))


def test_a_weight_that_is_known_is_not_looked_for():
    """What the customer says of it is enough to choose strands by."""
    assert "unknown draw weight" in names(state_of(opened(bow={"kind": "recurve"})))
    assert "unknown draw weight" not in names(state_of(opened()))


def test_what_needs_a_draw_is_asked_for_once_all_is_sound():
    """And stands behind what does not."""
    state = state_of(opened(), sound())
    figures = names(state, "baseline")
    assert "axle_to_axle" == figures[0]
    assert figures.index("draw_weight") > figures.index("nock_height")
    assert not names(state, "look")


@pytest.mark.parametrize("found", ["dry-fired", "cracked limb", "cut strand", "bent axle"])
def test_a_bow_that_must_not_be_drawn_is_not_asked_to_be(found):
    """Until it is mended."""
    look = event(3, "bow-looked-at", findings=[{"finding": found, "decision": "note"}])
    state = state_of(opened(), sound(but=[found]), look)
    assert not may_draw(state)
    assert {"draw_weight", "draw_length", "let_off"}.isdisjoint(names(state))
    mended = event(4, "bow-looked-at", findings=[{"finding": found, "decision": "mended"}])
    after = state_of(opened(), sound(but=[found]), look, mended)
    assert may_draw(after)
    assert "draw_weight" in names(after)


def test_one_thing_not_looked_at_keeps_the_bow_from_being_drawn():
    """A tick that is not there is no sound limb."""
    state = state_of(opened(), sound(but=["cracked limb"]))
    assert ["cracked limb"] == [one.name for one in unlooked(state)]
    assert not may_draw(state)


def test_a_measured_bow_lacks_nothing_the_work_waits_for():
    """What is left is good to know."""
    state = state_of(opened(), sound(), measured())
    assert not [one for one in missing(state) if one.needed]
    assert {"let_off", "lean", "peep_height"} == set(names(state))


def test_a_bow_that_came_without_its_lines_has_no_figures():
    """Nothing is at rest on it, and no routing can be pictured."""
    off = event(3, "bow-looked-at", baseline={"braced": False})
    assert not [one for one in missing(state_of(opened(), sound(), off)) if one.needed]


@pytest.mark.parametrize("kind", BENT)
def test_age_and_limbs_are_asked_of_a_bow_without_wheels(kind):
    """Any one of them answers it; of a bow with wheels they are not asked."""
    bow = {"kind": kind, "draw_weight": "38 lbf", "bow_length": "66 in"}
    assert "age" in names(state_of(opened(bow=bow)))
    for told in ({"year": 1972}, {"limbs": "carbon"}, {"takes_low_stretch": True}):
        assert "age" not in names(state_of(opened(bow=bow | told)))
    assert "age" not in names(state_of(opened()))
    assert "bow_length" in names(state_of(opened(bow={"kind": kind})))


def test_a_customer_nobody_can_reach_is_told_of():
    """At the end: it holds up nothing yet."""
    state = state_of(opened(), sound(), measured())
    assert "reach" == missing(state, reached=False)[-1].name
    assert "reach" not in names(state)


def test_what_is_wanted_is_asked_where_nobody_said():
    """Work ticked, or words, are enough."""
    assert "wants" in names(state_of(opened(work=[])))
    assert "wants" not in names(state_of(opened(work=[], wants="a new string, please")))


@pytest.mark.parametrize("kind", [*WHEELED, *BENT, "crossbow"])
def test_every_figure_is_one_of_a_baseline(kind):
    """Once each, and those that need a draw behind the others."""
    from strandwright.workshop.happenings.order import Baseline

    figures = figures_of(kind)
    assert len({figure.name for figure in figures}) == len(figures) >= 3
    assert {figure.name for figure in figures} <= set(Baseline.model_fields)
    drawn = [figure.drawn for figure in figures]
    assert sorted(drawn) == drawn
    assert set(BASELINE) <= set(Baseline.model_fields)
