"""Set views: what the screen of a set and the list of sets show."""

from __future__ import annotations

from typing import Any

from strandwright.errors import NotFound
from strandwright.planning.desk.advice_data import verdict_of
from strandwright.planning.desk.builds import Build, Desk
from strandwright.planning.sets.data import set_data
from strandwright.planning.sets.keeping import KeptSet, kept_sets, newest_builds, plan_kept
from strandwright.planning.sets.pictures import set_pictures
from strandwright.planning.written import half_turns
from strandwright.web.views import build_state
from strandwright.workshop.happenings.bench import LengthRead
from strandwright.workshop.line_set import LineSet

Fields = dict[str, Any]


def sets_view(desk: Desk) -> list[Fields]:
    """Give every set as the list of sets shows it.

    Parameters
    ----------
    desk : Desk
        The desk.

    Returns
    -------
    list of dict
        Newest change first, those put away behind.
    """
    sets = kept_sets(desk)
    builds = newest_builds(desk, (job for kept in sets for job in kept.line_set.jobs))
    rows = [_row(desk, kept, builds) for kept in sets]
    rows.sort(key=lambda row: row["saved_at"], reverse=True)
    return sorted(rows, key=lambda row: row["put_away"])


def _row(desk: Desk, kept: KeptSet, builds: dict[str, Build]) -> Fields:
    document = kept.document
    return {
        "id": document.id,
        "name": kept.line_set.name,
        "revision": document.revision,
        "saved_at": document.saved_at,
        "put_away": document.put_away,
        "lines": [line | {"name": _name(desk, line["job"])} for line in
                  _states(kept.line_set, builds)],
    }  # fmt: skip


def _name(desk: Desk, job: str) -> str:
    try:
        return desk.job(job).job.line.name
    except NotFound:
        return ""


def _states(line_set: LineSet, builds: dict[str, Build]) -> list[Fields]:
    """Give each line's job with where its newest build stands."""
    return [
        {
            "job": job,
            "state": build_state(builds[job]) if job in builds else "to start",
            "build": builds[job].head.id if job in builds else None,
        }
        for job in line_set.jobs
    ]


def _progress(desk: Desk, build: str | None) -> Fields:
    """Say where a build stands: its next act and how many there are; what it was built to."""
    if build is None:
        return {"next": None, "verdict": None, "built_text": ""}
    advice = desk.advice(build)
    plan, state = advice.plan, advice.state
    step = None if advice.act is None else advice.act.step
    said = ""
    if state.locked is not None:
        proofs = [
            t.reading.length.text
            for t in advice.counted
            if isinstance(t.reading, LengthRead) and t.reading.stage == "proof"
        ]
        parts = [f"read {proofs[-1]} at its proof"] if proofs else []
        said = " · ".join([*parts, f"{half_turns(state.locked.turns)} {plan.twist.hand} turns"])
    return {
        "next": step
        and {"title": step.title, "number": step.number, "of": len(advice.plan.steps)},
        "verdict": verdict_of(advice),
        "built_text": said,
    }


def set_view(desk: Desk, kept: KeptSet, width: float, theme: str) -> Fields:
    """Give everything the screen of a set shows.

    Parameters
    ----------
    desk : Desk
        The desk.
    kept : KeptSet
        The set.
    width : float
        Room for the longest strip [px]
    theme : str
        ``light``, ``dark`` or ``sun``.

    Returns
    -------
    dict
        The set's data, each line with its strip and where its build stands.
    """
    found = plan_kept(desk, kept.line_set)
    data = set_data(found)
    builds = newest_builds(desk, kept.line_set.jobs)
    states = {row["job"]: row for row in _states(kept.line_set, builds)}
    strips = {
        picture.job: {
            "svg": picture.svg,
            "width": picture.width,
            "height": picture.height,
            "indent": picture.indent,
            "px_per_m": picture.scale,
        }
        for picture in set_pictures(found.plans, width, theme)
    }
    data["lines"] = [
        line | states[line["job"]] | _progress(desk, states[line["job"]]["build"])
        | {"strip": strips[line["job"]]}
        for line in data["lines"]
    ]  # fmt: skip
    document = kept.document
    return data | {
        "revision": document.revision,
        "saved_at": document.saved_at,
        "put_away": document.put_away,
    }
