"""The demo store: the invented workshop's jobs, one of them built, one on the jig."""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta
from typing import Any

from strandwright.planning.desk.advice import Advice
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import snap, tables_of
from strandwright.planning.examples import examples
from strandwright.planning.sets.keeping import keep_set
from strandwright.planning.written import Written
from strandwright.units import INCH
from strandwright.workshop.events import as_moment, make_event

#: The job that stands proved in the demo, and the one whose winding is under way.
PROVED, WINDING = "MERE-1", "TARN-1"
#: The lines of one of its bows, to be planned together.
RIDGE_SET = {
    "id": "RIDGE",
    "name": "Lines of the ridge bow",
    "lines": [{"job": f"RIDGE-{number}"} for number in (1, 2, 3)],
}
#: How far the invented readings lie off what was expected: bare, half, twisted, proof [m]
_OFF = {"bare": INCH / 16.0, "half": INCH / 32.0, "twisted": -INCH / 32.0, "proof": 0.0}
#: More acts than any route has; a demo that does not end is a fault [-]
_MOST_ACTS = 60
_BY = "demo"


def fill_demo(desk: Desk, began: datetime) -> None:
    """Fill an empty store with the invented workshop.

    Parameters
    ----------
    desk : Desk
        Over an empty store.
    began : datetime
        When the first build began, with its offset from UTC.

    Raises
    ------
    Conflict
        If the store is not empty.
    """
    for job in examples().values():
        desk.add_job(tables_of(job))
        bench = job.bench.model_dump(mode="json", exclude_defaults=True)
        id = job.bench.name.replace(" ", "-")
        if all(d.id != id for d in desk.store.documents("bench")):
            desk.keep_bench(id, bench, 0)
    keep_set(desk, RIDGE_SET, 0)
    _Bench(desk, PROVED, began).work(to_the_end=True)
    _Bench(desk, WINDING, began + timedelta(days=1)).work(to_the_end=False)


class _Bench:
    """Does at an invented bench what the advice says, with invented readings."""

    def __init__(self, desk: Desk, job_id: str, began: datetime) -> None:
        self.desk = desk
        self.moment = began
        self.made = 0
        self.build = self._id()
        self.advice = desk.start(job_id, self.build, self._id(), at=as_moment(began), by=_BY)

    def work(self, *, to_the_end: bool) -> None:
        """Go on until the line is locked, or until a few rounds are wound."""
        for _ in range(_MOST_ACTS):
            if self.advice.act is None:
                return
            if self.advice.act.step.key == "wind" and not to_the_end:
                self._record("rounds-laid", run=0, halves=2)
                self._record("rounds-laid", run=0, halves=2)
                return
            self._act(self.advice)

    def _act(self, advice: Advice) -> None:
        assert advice.act is not None
        step, plan = advice.act.step, advice.plan
        to = Written.on(plan.job.paper)
        match step.key:
            case "posts":
                self._record("posts-set", outside=to.fine(plan.winding.posts_outside.value))
            case "wind":
                self._record("rounds-laid", run=step.run, halves=2)
            case "read" | "proof":
                self.moment += timedelta(seconds=plan.rest)
                told = plan.stage(step.stage).length.value + _OFF[step.stage]
                self._record("length-read", stage=step.stage, length=to.fine(snap(plan.job, told)))
            case "twist":
                self._record("turned", turns=step.turns)
            case "tag":
                self._record("locked", turns=advice.state.turns, hand=plan.twist.hand)
            case _:
                self.moment += timedelta(seconds=step.dwell or 0.0)
                self._record("step-done", step=step.id)

    def _record(self, type: str, **body: Any) -> None:
        self.moment += timedelta(minutes=1)
        event = make_event(self._id(), type, body, at=as_moment(self.moment), by=_BY)
        _, self.advice = self.desk.record(self.build, [event])

    def _id(self) -> str:
        """Make an identity that is the same each time the demo is made."""
        self.made += 1
        text = f"{_BY} {self.moment.isoformat()} {self.made}"
        return hashlib.sha256(text.encode()).hexdigest()[:32]
