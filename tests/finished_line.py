"""A line that is read, turned, proved and locked on a desk over memory, and its life on a bow."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from bench_work import Work

#: When the lines of the tests went onto their bows.
FITTED = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)


def finish(work: Work) -> Work:
    """Build the line to its end, every reading as it should be."""
    work.wound()
    work.read("bare")
    work.did("step-done", step="loops")
    work.did("turned", turns=work.advice.act.step.turns)
    work.read("half")
    work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="stretch-twisted")
    work.read("twisted")
    if work.advice.act.step.id == "twist-full":
        work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="serve")
    plan = work.advice.plan
    work.read("proof", plan.target.length.value - plan.stage("proof").length.value)
    work.did("locked", turns=work.advice.state.turns, hand="Z")
    return work


class Life:
    """Entries of one line's service, made one after the other."""

    def __init__(self, first: int = 0x5000):
        self.number = first

    def __call__(self, type, day=0.0, count=None, /, **body):
        """Give one entry as it is sent, so many days and shots after the fitting."""
        self.number += 1
        at = FITTED + timedelta(days=day)
        entry = {"id": f"{self.number:032x}", "type": type, "at": at.isoformat(), "body": body}
        return entry if count is None else entry | {"shots": count}


def settling_life(life: Life, *lengths: str):
    """Give the entries of a line that is read at 0, 40, 100, 200, 400 shots."""
    shots, days = (0, 40, 100, 200, 400), (0, 2, 5, 9, 20)
    rows = [life("on-bow")]
    for n, day, length in zip(shots, days, lengths, strict=False):
        rows.append(life("length-off", day, n, length=length))
    return rows
