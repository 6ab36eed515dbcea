"""The bow's baseline: what was measured before any press, told as it was typed."""

from sample_job import RIDGE, job_of
from strandwright.planning.baseline import baseline


def test_only_what_was_measured_is_told():
    """Each measured size stands once, as typed; what is missing is left out."""
    changes = {"bow.tiller_top": "7 1/8 in", "bow.lean": "top cam 1/16 left"}
    told = dict(baseline(job_of(RIDGE, changes)))
    assert told["tiller, top"] == "7 1/8 in"
    assert told["lean"] == "top cam 1/16 left"
    assert "peep height" not in dict(baseline(job_of(RIDGE, {"bow.peep_height": None})))


def test_loads_follow_the_paper():
    """The draw weight is told in newtons in a job on millimetres."""
    told = dict(baseline(job_of(RIDGE, {"paper.units": "mm"})))
    assert told["draw weight"].endswith(" N")
