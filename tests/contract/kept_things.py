"""Things to keep: documents, plans, builds and events that are small and easy to tell apart."""

from __future__ import annotations

import hashlib
from typing import Any

from strandwright.planning.ports import Store
from strandwright.workshop.documents import BuildHead, PlanRecord
from strandwright.workshop.events import Event, make_event
from strandwright.workshop.happenings.every import Noted

AT = "2026-11-25T13:00:00.000Z"
LATER = "2026-11-25T14:00:00.000Z"


def digits(name: str) -> str:
    """Give 32 hexadecimal digits that stand for a name."""
    return hashlib.sha256(name.encode()).hexdigest()[:32]


def a_plan(id: str = "p1", job_id: str = "RIDGE-1", made_at: str = AT, **sheet: Any) -> PlanRecord:
    """Make a plan."""
    job = {"id": job_id, "name": "the ridge string", "line": {"finished": "57 1/4 in +- 1/32"}}
    plan = {"format": 1, "posts_outside_m": 1.4542, "warnings": ["rating unknown"], "bare": None}
    return PlanRecord(id, job_id, job, plan, {"template": "sheet_1", **sheet}, 1, made_at)


def a_head(name: str = "first", plan_id: str = "p1", job_id: str = "RIDGE-1") -> BuildHead:
    """Make the head of a build."""
    return BuildHead(digits(name), job_id, plan_id, AT)


def a_note(name: str, text: str = "", by: str = "bench 1") -> Event:
    """Make an event that can be told from others by its name."""
    return make_event(digits(name), "noted", {"text": text or name}, at=AT, by=by)


def text_of(event: Event) -> str:
    """Give the text of a note."""
    assert isinstance(event.body, Noted)
    return event.body.text


def begun(store: Store, name: str = "first") -> str:
    """Keep a plan and begin a build by it; give the build's identity."""
    store.keep_plan(a_plan())
    return store.begin(a_head(name)).id


def fill(store: Store) -> None:
    """Keep some of everything."""
    store.save("bench", "home", {"zero_post": "1/2 in", "longest": "80 in"}, at=AT, expected=0)
    store.save("job", "RIDGE-1", {"name": "the ridge string"}, at=AT, expected=0)
    store.save("job", "RIDGE-1", {"name": "Grön älv"}, at=LATER, expected=1)
    store.save("job", "TARN-1", {"turns": 27.5, "n": 3, "x": [None, True]}, at=AT, expected=0)
    store.save("bow", "ridge", {"kind": "two-cam"}, at=AT, expected=0, put_away=True)
    store.keep_plan(a_plan("p2", "TARN-1", LATER))
    store.keep_plan(a_plan("p1"))
    for name, plan, job in (("first", "p1", "RIDGE-1"), ("second", "p2", "TARN-1")):
        build = store.begin(a_head(name, plan, job)).id
        store.append(build, [a_note(f"{name} {n}") for n in range(3)])
