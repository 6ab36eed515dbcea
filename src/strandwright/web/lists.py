"""Lists of jobs and builds: read from listings, and what must be worked out told apart.

The first answer of a list is what is kept of each row, however many there are; what a plan says
of a row, its next act or its verdict, is asked for when the row comes into sight.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from strandwright.errors import InputError, InputErrors, NotFound, SolveError
from strandwright.planning.desk.advice_data import verdict_of
from strandwright.planning.desk.builds import Desk
from strandwright.planning.ports import PAGE
from strandwright.planning.written import Written, half_turns
from strandwright.workshop.documents import Listing
from strandwright.workshop.happenings.bench import LengthRead

Fields = dict[str, Any]
#: States of a job as a list shows them, in that order.
JOB_STATES = ("building", "to start", "done", "put away")
#: States of a build, with what the screens call them.
BUILD_STATES = {"at the jig": "building", "done": "logged", "put aside": "put aside"}


def jobs_list(
    desk: Desk,
    states: Sequence[str] = JOB_STATES,
    words: str = "",
    limit: int = PAGE,
) -> Fields:
    """Give the jobs of each state, the latest first.

    Parameters
    ----------
    desk : Desk
        The desk.
    states : sequence of str
        Which of :data:`JOB_STATES`, in the order in which they are to come.
    words : str
        Only those in which each of these words stands.
    limit : int
        How many of each state [-]

    Returns
    -------
    dict
        ``jobs``, ``counts`` of each state, and ``more``: states with further ones behind.
    """
    pages = {
        state: desk.store.listings("job", status=state, words=words, limit=limit + 1)
        for state in states
    }
    return {
        "jobs": [_job_row(row) for page in pages.values() for row in page[:limit]],
        "counts": desk.store.counts("job"),
        "more": [state for state, page in pages.items() if len(page) > limit],
    }


def builds_list(
    desk: Desk,
    state: str | None = None,
    words: str = "",
    limit: int = PAGE,
) -> Fields:
    """Give the builds, the latest first.

    Parameters
    ----------
    desk : Desk
        The desk.
    state : str or None
        Only those that are ``building``, ``logged`` or ``put aside``; left out, all.
    words : str
        Only those in whose job each of these words stands.
    limit : int
        How many [-]

    Returns
    -------
    dict
        ``builds``, ``counts`` of each state, and ``more``: whether there are further ones behind.
    """
    status = next((kept for kept, said in BUILD_STATES.items() if said == state), None)
    owners = _jobs_found(desk, words) if words.strip() else None
    found = desk.store.listings("build", status=status, owner=owners, limit=limit + 1)
    names = _by_id(desk, {row.owner for row in found})
    counts = desk.store.counts("build")
    return {
        "builds": [_build_row(row, names.get(row.owner)) for row in found[:limit]],
        "counts": {said: counts.get(kept, 0) for kept, said in BUILD_STATES.items()},
        "more": len(found) > limit,
    }


def _jobs_found(desk: Desk, words: str) -> list[str]:
    return [row.id for row in desk.store.listings("job", words=words, limit=10 * PAGE)]


def _by_id(desk: Desk, ids: Iterable[str]) -> dict[str, Listing]:
    return {row.id: row for row in desk.store.named("job", sorted(ids))}


def _job_row(row: Listing) -> Fields:
    return {"id": row.id, **row.summary}


def _build_row(row: Listing, job: Listing | None) -> Fields:
    about = {} if job is None else job.summary
    turns, hand = row.summary["turns"], row.summary["hand"]
    return {
        "id": row.id,
        "job": row.owner,
        "name": about.get("name", row.owner),
        "line": about.get("line", ""),
        "bow": about.get("bow", ""),
        "state": BUILD_STATES[row.status],
        "began_at": row.summary["began_at"],
        "ended_at": row.summary["ended_at"],
        "turns_text": f"{half_turns(turns)} {hand}".strip() if turns else "",
    }


# --------------------------------------------------------------------- what must be worked out


def next_acts(desk: Desk, jobs: Sequence[str]) -> dict[str, Fields]:
    """Say of jobs what a plan says: how long the line is, and the one act that comes next.

    Parameters
    ----------
    desk : Desk
        The desk.
    jobs : sequence of str
        Their ids; one that is not kept is left out.

    Returns
    -------
    dict
        By id: ``state``, ``length_text``, ``next`` and, where there is no plan, ``said``.
    """
    found = {row.id: row for row in desk.store.named("job", list(jobs))}
    return {id: _next_act(desk, row) for id, row in found.items()}


def _next_act(desk: Desk, row: Listing) -> Fields:
    start = {"title": "Start building", "headline": "", "said": ""}
    told: Fields = {"state": row.summary["state"], "length_text": "", "next": start, "said": ""}
    try:
        plan = desk.plan(desk.job(row.id).job)
    except (InputError, InputErrors, SolveError) as error:
        said = {"title": "Mend the job", "headline": "", "said": str(error)}
        return told | {"state": "cannot be planned", "next": said, "said": str(error)}
    to = Written.on(plan.job.paper)
    told["length_text"] = to.fine(plan.target.length.value)
    start["headline"] = f"posts at {to.fine(plan.winding.posts_outside.value)}"
    if row.summary["state"] == "to start":
        return told
    advice = desk.advice(str(row.summary["build"]))
    if advice.act is None:
        made = {"title": "Build another like it", "headline": "", "said": verdict_of(advice) or ""}
        return told | {"next": made}
    step = advice.act.step
    return told | {"next": {"title": step.title, "headline": step.headline, "said": ""}}


def outcomes(desk: Desk, builds: Sequence[str]) -> dict[str, Fields]:
    """Say of builds how they came out, or what comes next at the jig.

    Parameters
    ----------
    desk : Desk
        The desk.
    builds : sequence of str
        Their identities; one that is not kept is left out.

    Returns
    -------
    dict
        By identity: ``length_text`` asked for, ``read_text`` at the end, ``turns_text``,
        ``verdict``, ``next``.
    """
    told: dict[str, Fields] = {}
    for build in builds:
        try:
            told[build] = _outcome(desk, build)
        except NotFound:
            continue
    return told


def _outcome(desk: Desk, build: str) -> Fields:
    advice = desk.advice(build)
    plan, state = advice.plan, advice.state
    proofs = [
        taken.reading.length.text
        for taken in state.lengths
        if isinstance(taken.reading, LengthRead) and taken.reading.stage == "proof"
    ]
    turns = state.locked.turns if state.locked is not None else state.turns
    act = advice.act
    return {
        "length_text": Written.on(plan.job.paper).fine(plan.target.length.value),
        "read_text": proofs[-1] if proofs else "",
        "turns_text": f"{half_turns(turns)} {plan.twist.hand}" if turns else "",
        "verdict": verdict_of(advice),
        "next": None
        if act is None
        else {"title": act.step.title, "headline": act.step.headline},
    }
