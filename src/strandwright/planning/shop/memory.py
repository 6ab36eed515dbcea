"""Memory: the lessons of a shop's finished builds, kept with its records, and the pool of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from threading import RLock
from typing import Any

import numpy as np

from strandwright.errors import Conflict, InputError, InputErrors, NotFound, SolveError
from strandwright.planning.desk.advice import Advice
from strandwright.planning.ports import Store
from strandwright.planning.shop.aside import (
    LeftOut,
    left_out_in,
    reason,
    with_reason,
    without_reason,
)
from strandwright.planning.shop.groups import groups_of
from strandwright.planning.shop.knowledge import POOLED, knowledge_of
from strandwright.planning.shop.lesson import lesson_of
from strandwright.planning.shop.outcome import Outcome, outcome_from, outcome_of
from strandwright.reference.pooling import LEVELS, pooled_spreads
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.spreads import Spreads
from strandwright.workshop.documents import Document
from strandwright.workshop.job import Job, job_from_table
from strandwright.workshop.shop import ShopKnowledge

Table = dict[str, Any]

#: What the numbers of a lesson mean; one of another version is worked out anew
VERSION = 1
#: The latest builds that teach; a shop's fibre, jig and hands of years ago are others' [-]
LATEST = 1000
#: The window moves on by so many at once, so that mostly a build is only added [-]
_STEP = 200
#: Lessons looked at to see whether any was written since [-]
_GLANCE = 8


def spreads() -> Spreads:
    """Give how the spread of each pooled unknown is parted, by the table.

    Returns
    -------
    Spreads
        Of the standardised unknowns: the variances of each add up to 1.
    """
    table = pooled_spreads()
    return Spreads(LEVELS, POOLED, np.array([table[name].shares for name in POOLED]).T)


class ShopMemory:
    """What a shop has learned. Safe to use from several threads.

    Parameters
    ----------
    store : Store
        Where lessons are kept.
    now : callable
        Gives the moment as records hold it.
    """

    def __init__(self, store: Store, now: Callable[[], str]) -> None:
        self._store = store
        self._now = now
        self._lock = RLock()
        self._pool: Pool | None = None
        self._mark = -1
        self._seen: tuple[tuple[str, str, object], ...] = ()
        self._outcomes: tuple[Outcome, ...] = ()
        #: Revision of each lesson that counts, by build
        self._known: dict[str, int] = {}
        self._lessons: dict[str, Lesson] = {}
        self._aside: dict[str, LeftOut] = {}
        self._told: dict[tuple[tuple[str, str], ...], ShopKnowledge] = {}

    def keep(self, build: str, advice: Advice) -> None:
        """Keep what a finished build says, and how it came out.

        Parameters
        ----------
        build : str
            The build.
        advice : Advice
            As it stands, locked.
        """
        with self._lock:
            self._whole()
            if build in self._known:
                return
            try:
                lesson = lesson_of(advice.plan.job)
            except (InputError, InputErrors, SolveError):
                return
            if lesson is None:
                return
            table = _table(lesson) | {"outcome": outcome_of(build, advice).table()}
            self._write(build, table)

    def forget(self, build: str) -> None:
        """Let a build say nothing any more: its end was a slip.

        Parameters
        ----------
        build : str
            The build.
        """
        with self._lock:
            self._whole()
            if build not in self._known:
                return
            found = self._store.document("lesson", build)
            self._store.save(
                "lesson", build, found.table, at=self._now(), expected=found.revision,
                put_away=True,
            )  # fmt: skip
            self._pool = None

    def leave_out(self, build: str, because: str) -> None:
        """Let a finished build teach nothing; how it came out stays in the charts.

        Parameters
        ----------
        build : str
            The build.
        because : str
            Why.

        Raises
        ------
        NotFound
            If no such build is finished.
        SpecError
            If no reason is given.
        """
        words = reason(because)
        with self._lock:
            found = self._lesson_of(build)
            if build in self._aside and self._aside[build].because == words:
                return
            at = self._now()
            self._save(found, with_reason(found.table, words, at), at)

    def take_in(self, build: str) -> None:
        """Let a build that was left out teach again; one that teaches already stays as it is.

        Parameters
        ----------
        build : str
            The build.

        Raises
        ------
        NotFound
            If no such build is finished.
        """
        with self._lock:
            found = self._lesson_of(build)
            self._save(found, without_reason(found.table), self._now())

    def knows(self, job: Job) -> Job:
        """Give a job with what the shop knows of it beforehand.

        Parameters
        ----------
        job : Job
            The job; one that has its knowledge already keeps it.

        Returns
        -------
        Job
            The same where nothing was built yet.
        """
        if job.shop is not None:
            return job
        groups = tuple(groups_of(job).items())
        with self._lock:
            pool = self._whole()
            teaching = len(self._lessons)
            if not teaching:
                return job
            known = self._told.get(groups)
            if known is None:
                mean, covariance = pool.prior_for(groups)
                counts = {group: pool.count(*group) for group in groups}
                known = knowledge_of(mean, covariance, teaching, counts)
                self._told[groups] = known
        return job.model_copy(update={"shop": known})

    def outcomes(self) -> tuple[Outcome, ...]:
        """Give how the latest finished builds came out.

        Returns
        -------
        tuple of Outcome
            In the order in which they were locked.
        """
        with self._lock:
            self._whole()
            return self._outcomes

    @property
    def pool(self) -> Pool:
        """The pool of all lessons."""
        with self._lock:
            return self._whole()

    @property
    def lessons(self) -> dict[str, Lesson]:
        """What each build says that is in the pool, by build."""
        with self._lock:
            self._whole()
            return dict(self._lessons)

    @property
    def left_out(self) -> dict[str, LeftOut]:
        """Builds that teach nothing for now, and why."""
        with self._lock:
            self._whole()
            return dict(self._aside)

    def job_of(self, build: str) -> Job:
        """Give the job of a build as it was planned first, without what the shop knew.

        Parameters
        ----------
        build : str
            The build.

        Returns
        -------
        Job
            The job.

        Raises
        ------
        NotFound
            If there is no such build.
        """
        table = self._store.plan(self._store.build(build).plan_id).job
        return job_from_table(table).model_copy(update={"shop": None})

    def _whole(self) -> Pool:
        """Give the pool, made anew where somebody else changed a lesson."""
        mark = self._store.mark()
        if self._pool is not None and mark == self._mark:
            return self._pool
        glance = self._store.listings("lesson", limit=_GLANCE)
        seen = tuple((row.id, row.at, row.summary["revision"]) for row in glance)
        if self._pool is None or seen != self._seen:
            self._pool, self._seen = self._read_anew(self._pool), seen
        self._mark = mark
        return self._pool

    def _read_anew(self, pool: Pool | None) -> Pool:
        """Read the latest lessons, and learn from those that are new where the rest stayed."""
        count = self._store.counts("lesson").get("kept", 0)
        behind = _STEP * max(0, -(-(count - LATEST - _STEP) // _STEP))
        rows = self._store.listings("lesson", status="kept", limit=count - behind)
        kept = self._store.documents("lesson", [row.id for row in rows])
        known = {d.id: d.revision for d in kept}
        new = [d for d in kept if self._known.get(d.id) != d.revision]
        gone = self._known.keys() - known.keys()
        changed = {d.id for d in new} & self._known.keys()
        if pool is not None and not gone and not changed:
            read = {d.id: _read(d) for d in new}
        else:
            pool, new = None, list(kept)
            read = {d.id: _read(d) for d in kept}
            self._lessons, self._aside = {}, {}
        aside = {d.id: left_out_in(d.table, read[d.id]) for d in new}
        self._aside |= {id: out for id, out in aside.items() if out is not None}
        teaching = {
            id: lesson
            for id, lesson in read.items()
            if lesson is not None and id not in self._aside
        }
        self._lessons |= teaching
        self._known, self._told = known, {}
        found = [outcome_from(d.table["outcome"]) for d in kept if "outcome" in d.table]
        self._outcomes = tuple(sorted(found, key=lambda o: (o.at, o.build)))
        if pool is None:
            return pool_of(spreads(), np.zeros(len(POOLED)), teaching.values())
        for lesson in teaching.values():
            pool = pool.with_build(lesson)
        return pool

    def _lesson_of(self, build: str) -> Document:
        self._whole()
        if build not in self._known:
            raise NotFound("lesson of a finished build", build)
        return self._store.document("lesson", build)

    def _save(self, found: Document, table: Table, at: str) -> None:
        self._store.save("lesson", found.id, table, at=at, expected=found.revision)
        self._pool = None

    def _write(self, build: str, table: Table) -> None:
        try:
            before = self._store.document("lesson", build).revision
        except NotFound:
            before = 0
        # Another bench may keep the same lesson in the same moment.
        with suppress(Conflict):
            self._store.save("lesson", build, table, at=self._now(), expected=before)


def _table(lesson: Lesson) -> Table:
    return {
        "version": VERSION,
        "groups": [list(group) for group in lesson.groups],
        "names": list(POOLED),
        "slopes": [[float(x) for x in row] for row in lesson.slopes],
        "value": [float(x) for x in lesson.value],
    }


def _read(document: Document) -> Lesson | None:
    """Read a lesson; one of other unknowns than today's says nothing until it is made anew."""
    table = document.table
    if table.get("version") != VERSION or tuple(table["names"]) != POOLED:
        return None
    slopes = np.asarray(table["slopes"], dtype=np.float64).reshape(-1, len(POOLED))
    groups = tuple((str(level), str(key)) for level, key in _pairs(table["groups"]))
    return Lesson(groups, slopes, np.asarray(table["value"]), np.eye(len(slopes)))


def _pairs(groups: Iterable[Any]) -> list[tuple[Any, Any]]:
    return [(one, other) for one, other in groups]
