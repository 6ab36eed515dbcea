"""A matched spare: a new job from the record of a finished build, to be built the same.

What it was planned for is one thing, what it became another: the length is the one it was proved
at, the turns those it was locked with, and both go on by the turns put in on the bow since.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from strandwright.errors import Conflict
from strandwright.planning.desk.advice import Advice
from strandwright.planning.desk.builds import Desk
from strandwright.planning.desk.jobs import KeptJob
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.line_of_job import serving_edges
from strandwright.planning.result import Plan
from strandwright.planning.sets.spare_differences import Difference, Taken, differences_of
from strandwright.planning.settling.record import written_of
from strandwright.units import INCH
from strandwright.workshop.happenings.bench import LengthRead
from strandwright.workshop.job import Job, job_from_table
from strandwright.workshop.parts import BuildRecord, Original
from strandwright.workshop.service import ServiceEntry, TurnsChanged, counting

#: Less than this is no difference of turns [turn]
_SAME = 0.01


@dataclass(frozen=True)
class Spare:
    """A matched spare.

    Attributes
    ----------
    job : Job
        The new job.
    of : str
        The build it matches.
    taken : Taken
        What was taken from its record.
    plan : Plan
        The new job's plan.
    differences : tuple of Difference
        In what it is not the same.
    """

    job: Job
    of: str
    taken: Taken
    plan: Plan
    differences: tuple[Difference, ...]


def spare_of_build(
    desk: Desk,
    build: str,
    new_id: str,
    name: str,
    *,
    bench: str | None = None,
    lot: str | None = None,
) -> Spare:
    """Make the job of a matched spare; nothing is kept yet.

    Parameters
    ----------
    desk : Desk
        The desk.
    build : str
        The finished build.
    new_id, name : str
        Id and name of the new job.
    bench : str or None
        Id of the kept bench it will be built on; None for the one of the record.
    lot : str or None
        Lot it will be wound of; None for the one of the record.

    Returns
    -------
    Spare
        The job with its plan, and in what it differs.

    Raises
    ------
    Conflict
        If the build was never locked: nobody knows that its line came out right.
    NotFound
        If there is no such build or bench.
    InputError
        If id or name cannot be used, or the new job cannot be planned.
    """
    advice = _locked(desk, build)
    taken = taken_from(advice, counting(written_of(desk.store, build)))
    table: dict[str, Any] = _table(advice, taken) | {"id": new_id, "name": name}
    if lot is not None:
        table["makeup"] = table["makeup"] | {"lot": lot}
    if bench is not None:
        table["bench"] = desk.store.document("bench", bench).table
    job = job_from_table(table)
    if job.bench != advice.first.job.bench and bench is not None:
        # Another jig's posts give and carry otherwise: its setting is planned anew.
        job = job.model_copy(update={"route": job.route.model_copy(update={"wound_at": None})})
    plan = desk.plan(job)
    model = desk.store.plan(advice.first.id).model_version
    return Spare(job, build, taken, plan, differences_of(desk, advice, taken, plan, model))


def keep_spare(desk: Desk, spare: Spare) -> KeptJob:
    """Keep the job of a matched spare.

    Parameters
    ----------
    desk : Desk
        The desk.
    spare : Spare
        The spare.

    Returns
    -------
    KeptJob
        As kept.

    Raises
    ------
    Conflict
        If another job has that id.
    InputError
        If a text of it holds a character that nobody sees.
    """
    return desk.add_job(tables_of(spare.job))


def taken_from(advice: Advice, entries: tuple[ServiceEntry, ...]) -> Taken:
    """Read off the record of a finished build what a spare must match.

    Parameters
    ----------
    advice : Advice
        The build, locked.
    entries : tuple of ServiceEntry
        What counts of its line's service.

    Returns
    -------
    Taken
        Length, turns, posts.
    """
    plan, locked = advice.plan, advice.state.locked
    assert locked is not None
    on_bow = sum(e.body.turns for e in entries if isinstance(e.body, TurnsChanged))
    proved, since = _proved(advice, locked.turns)
    became = (proved if proved is not None else _expected(advice, locked.turns)) + since
    return Taken(
        proved=proved,
        length=became + turned(plan, on_bow),
        turns=max(locked.turns + on_bow, 0.0),
        turns_on_bow=on_bow,
        hand=locked.hand,
        posts=None if advice.state.posts is None else advice.state.posts.si,
    )


def turned(plan: Plan, turns: float) -> float:
    """Change of length by turns more, or fewer where negative.

    Parameters
    ----------
    plan : Plan
        The finished line's.
    turns : float
        Turns [turn]

    Returns
    -------
    float
        Change, negative when shorter [m]
    """
    twist = plan.twist
    return turns * twist.next_turn.value if turns > 0.0 else -turns * twist.less_turn.value


def _locked(desk: Desk, build: str) -> Advice:
    advice = desk.advice(build)
    if advice.state.put_aside is not None:
        rule = "was put aside, so it has no line to match"
        raise Conflict("build", build, rule, "make the spare of a build that was finished")
    if advice.state.locked is None:
        rule = "was never locked, so nobody knows yet what its line came to"
        remedy = "prove it and lock its turns at the jig first, or build its job once more"
        raise Conflict("build", build, rule, remedy)
    return advice


def _proved(advice: Advice, locked: float) -> tuple[float | None, float]:
    """Length at the last proof, and what turns put in between it and the lock changed [m]."""
    plan = advice.plan
    if not plan.landing.proved:
        return None, 0.0
    proofs = [
        taken.reading
        for taken in advice.counted
        if isinstance(taken.reading, LengthRead) and taken.reading.stage == "proof"
    ]
    proved = plan.target.length.value + plan.landing.proof.error
    then = proofs[-1].turns if proofs else None
    since = 0.0 if then is None or abs(locked - then) < _SAME else turned(plan, locked - then)
    return proved, since


def _expected(advice: Advice, locked: float) -> float:
    """Length by the numbers, where no proof was read [m]."""
    plan = advice.plan
    return plan.landing.blind.value + turned(plan, locked - plan.twist.turns)


def _table(advice: Advice, taken: Taken) -> dict[str, Any]:
    """Give the tables of the new job, all but its id and name."""
    old = advice.plan.job
    edges = serving_edges(old, advice.plan.target.length.value)
    table = tables_of(
        old.model_copy(
            update={
                "build": BuildRecord(),
                "shop": None,
                "bench": advice.first.job.bench,
                # The worn line it was once read off is not what is matched; what was found on the
                # bow still is to be settled.
                "original": Original(stop=old.original.stop),
            }
        )
    )
    table["line"] = _line(table["line"], edges, advice.plan.target.length.value, taken.length)
    makeup = {k: v for k, v in table["makeup"].items() if k not in ("twist", "turns", "hand")}
    table["makeup"] = makeup | {"turns": taken.turns, "hand": taken.hand}
    route = {k: v for k, v in table.get("route", {}).items() if k != "wound_at"}
    if taken.posts is not None and advice.state.posts is not None:
        route["wound_at"] = advice.state.posts.text
    return table | {"route": route}


def _line(
    line: Mapping[str, Any], edges: list[tuple[float, float]], planned: float, became: float
) -> dict[str, Any]:
    """Give the line with its length and every serving's edges as they were laid.

    What lies in the far half keeps its distance from the far end.
    """
    servings: list[dict[str, Any]] = []
    for spec, (start, stop) in zip(line.get("servings", ()), edges, strict=True):
        far = start + stop > planned
        ends = (planned - start, planned - stop) if far else (start, stop)
        kept = {k: v for k, v in spec.items() if k != "from_far_end"}
        kept |= {"start": inches(ends[0]), "stop": inches(ends[1])}
        servings.append(kept | {"from_far_end": True} if far else kept)
    rest = {k: v for k, v in line.items() if k != "shorthand"}
    return rest | {"finished": inches(became), "servings": servings}


def inches(metres: float) -> str:
    """Write a length so finely that nothing of a reading is lost.

    Parameters
    ----------
    metres : float
        The length [m]

    Returns
    -------
    str
        ``57.2534 in``, without noughts at its end.
    """
    text = f"{metres / INCH:.4f}".rstrip("0").rstrip(".")
    return f"{text if text not in ('', '-0') else '0'} in"
