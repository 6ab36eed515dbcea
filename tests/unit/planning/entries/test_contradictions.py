"""Contradictions: entries that cannot both be meant are refused, and nearly equal ones are not."""

from __future__ import annotations

import pytest

from sample_job import RIDGE, job_of
from strandwright.errors import InputError
from strandwright.planning.entries.refusals import refuse_impossible

WOUND = {"build.wound_at": "57 9/16 in"}
PROOF = [{"stage": "proof", "length": "57 1/4 in"}]


def refused(changes: dict) -> InputError:
    """Give the one refusal of the ridge string's job after these changes."""
    with pytest.raises(InputError) as caught:
        refuse_impossible(job_of(RIDGE, changes))
    return caught.value


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"line.servings.1.start": "20 in"}, "line.servings[2].stop", "start"),
        ({"line.servings.1.stop": "22 in"}, "line.servings[2].start", "stop"),
        (WOUND | {"route.wound_at": "57 1/2 in"}, "build.wound_at", "route.wound_at, 57 1/2 in"),
        ({"route.measure": "310 lbf"}, "route.measure", "300 lbf"),
        ({"route.stretch": "90 lbf"}, "route.stretch", "100 lbf"),
        ({"bow.nock.entry": "0.126 in"}, "bow.nock.entry", "bow.nock.seat, 0.125 in"),
        ({"line.finished": "57 5/8 in"}, "original.shorthand", "line.finished, 57 5/8 in"),
        ({"line.shorthand": "57 5/8: 0-17, 18-20, 21-22, 17-0", "line.finished": "57 1/2 in"},
         "original.shorthand", "line.shorthand, 57 5/8"),
        (WOUND | {"build.turns": 0, "build.readings": PROOF}, "build.turns", "above 0"),
        (WOUND | {"build.readings": [PROOF[0] | {"turns": 0}]}, "build.readings[1].turns",
         "above 0"),
        ({"line.finished": "57 1/4 in +- 15 in"}, "line.finished", "25 %"),
        ({"bench.zero_post": "1/2 in +- 1/4"}, "bench.zero_post", "25 %"),
        ({"name": " "}, "name", "empty"),
        ({"name": "ridge\u202egnirts"}, "name", "U+202E"),
        ({"makeup.colours.0.name": ""}, "makeup.colours[1].name", "empty"),
        ({"makeup.colours.1.name": "Spruce "}, "makeup.colours[2].name", "twice"),
        ({"makeup.colours.1.name": "straw\u200b"}, "makeup.colours[2].name", "U+200B"),
        ({"line.servings.0.name": "end\x07"}, "line.servings[1].name", "U+0007"),
    ],
)  # fmt: skip
def test_what_cannot_both_be_meant_is_refused(changes, field, told):
    """The entry to mend is named, and the rule names what it has to agree with."""
    error = refused(changes)
    assert error.field == field
    assert told in error.rule
    assert error.rule.startswith("must ")
    assert error.remedy


@pytest.mark.parametrize(
    "changes",
    [
        {"line.servings.1.start": "20 in", "line.servings.1.stop": "22 in"},
        WOUND | {"route.wound_at": "57.5625 in"},
        {"route.measure": "300 lbf"},
        {"bow.nock.entry": "0.125 in"},
        {"line.finished": "57 1/2 in"},
        {"line.finished": None},
        WOUND | {"build.turns": 0},
        WOUND | {"build.turns": 0, "build.readings": [PROOF[0] | {"stage": "bare"}]},
        WOUND | {"build.turns": 0, "makeup.turns": 0, "makeup.twist": None,
                 "build.readings": PROOF},
        WOUND | {"build.readings": [PROOF[0], PROOF[0] | {"length": "57 9/32 in"}]},
        {"line.marks.0.at": "1 in +- 1/2"},
        {"bench.zero_post": "1/2 in +- 1/8"},
        {"original.wear": "open at the nock\none strand cut"},
    ],
)  # fmt: skip
def test_what_can_both_be_meant_passes(changes):
    """Equal values in other words, and whatever is merely unusual, are let be."""
    refuse_impossible(job_of(RIDGE, changes))
