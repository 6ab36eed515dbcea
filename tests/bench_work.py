"""A desk over memory and a clock that is moved by hand, for tests of work at the jig."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta

from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.planner import Planner
from strandwright.store.memory import MemoryStore
from strandwright.workshop.events import as_moment, make_event

#: Shared, so that tests which ask the same are answered at once.
PLANNER = Planner(2000)


class Work:
    """One build of an example on a desk of its own."""

    def __init__(self, job="RIDGE-1", **changes):
        self.numbers = itertools.count(1)
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
        self.desk = Desk(MemoryStore(), clock=lambda: self.now, planner=PLANNER)
        table = tables_of(example(job)) | changes
        self.desk.add_job(table)
        self.build = self.id()
        self.advice = self.desk.start(job, self.build, self.id(), at=as_moment(self.now))

    def id(self):
        """Give a fresh identity."""
        return f"{next(self.numbers):032x}"

    def did(self, type, *, after=1.0, **body):
        """Record one event, so many minutes after the last; give the advice."""
        self.now += timedelta(minutes=after)
        event = make_event(self.id(), type, body, at=as_moment(self.now))
        _, self.advice = self.desk.record(self.build, [event])
        return event

    def wound(self):
        """Set the posts as planned and wind every round, even out, shift, stretch."""
        to = self.advice.plan.winding.posts_outside.value
        self.did("posts-set", outside=f"{to * 1000:.3f} mm")
        for run, colour in enumerate(self.advice.plan.winding.runs):
            self.did("rounds-laid", run=run, halves=colour.strands)
        for step in ("even", "shift", "stretch-bare"):
            self.did("step-done", step=step, after=30.0)
        return self

    def read(self, stage, off=0.0, **about):
        """Read a length so many metres off what was expected, well rested."""
        told = self.advice.plan.stage(stage).length.value + off
        length = f"{told * 1e3:.2f} mm"
        return self.did("length-read", after=90.0, stage=stage, length=length, **about)
