"""The table of stops: every row has its source and its words, and no finding is without a row."""

from __future__ import annotations

from typing import get_args

import pytest

from strandwright.errors import SpecError
from strandwright.reference.stops import LOW_STRETCH, stop, stops, stops_for
from strandwright.workshop.parts import BowKind, Decision, Finding

KINDS = get_args(BowKind)


def test_every_finding_has_one_row_and_every_row_is_a_finding():
    """One way to say what is found."""
    names = [one.name for one in stops()]
    assert len(names) == len(set(names))
    assert set(get_args(Finding)) == set(names)


def test_every_row_has_its_words_and_its_source():
    """What to look at, why, what is told to the owner, who says so, and bows that there are."""
    for one in stops():
        assert min(map(len, (one.look, one.why, one.customer, one.source))) > 20, one.name
        assert one.kind in ("published", "measured", "practice", "memory")
        assert one.verdict in get_args(Decision)
        assert set(one.bows) <= {*KINDS, "any"}
        assert one.verdict != "refuse" or one.undrawn


def test_what_may_hurt_is_looked_at_first():
    """Whether the bow may be drawn at all is settled before anything that needs it."""
    for kind in KINDS:
        drawn = [one.undrawn for one in stops_for(kind)]
        assert sorted(drawn, reverse=True) == drawn
        assert "other" == stops_for(kind)[-1].name


def test_wheels_are_not_looked_for_on_a_longbow():
    """Nor a latch; what a program tells by itself is ticked nowhere."""
    names = {one.name for one in stops_for("longbow")}
    assert names.isdisjoint({"bent wheel", "bent axle", "worn rail or latch", LOW_STRETCH})
    assert {"cracked limb", "worn string groove", "unknown draw weight"} <= names
    assert "worn rail or latch" in {one.name for one in stops_for("crossbow")}


def test_a_cut_strand_is_why_the_bow_came():
    """It does not refuse the work, it only forbids to draw."""
    assert ("note", True) == (stop("cut strand").verdict, stop("cut strand").undrawn)


def test_what_is_no_stop_is_refused():
    """With the names there are."""
    with pytest.raises(SpecError, match="cracked limb"):
        stop("a hunch")
