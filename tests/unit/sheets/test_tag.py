"""The tag: what it says of a line is what its record says."""

from __future__ import annotations

from bench_work import Work
from strandwright.sheets import tag_data
from strandwright.units import INCH


def test_a_tag_tells_the_proof_as_it_was_read() -> None:
    """A reading between two steps of the shop's fraction is not rounded to what was asked for."""
    work = Work().wound()
    while (step := work.advice.act.step).id != "read-proof":
        if step.key == "read":
            work.read(step.stage)
        elif step.key == "twist":
            full = work.advice.plan.twist.turns
            work.did("turned", turns=full if step.id == "twist-full" else step.turns)
        else:
            work.did("step-done", step=step.id)
    work.did("length-read", after=90.0, stage="proof", length="57 9/32 in")
    data = tag_data(work.build, work.advice)
    assert data["read"]["text"] == "57 9/32 in"
    assert abs(data["read"]["si"] - 57.28125 * INCH) < 1e-9
    assert data["asked"]["text"] == "57 1/4 in"
