"""Lines: the jobs of an order, each made with its customer, its bow and what was found on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from strandwright.errors import Conflict
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.entries.refusals import refuse_impossible
from strandwright.planning.orders.keeping import KeptOrder, decided, kept_order
from strandwright.planning.orders.opening import read_event
from strandwright.planning.take_off.new_line import job_from_shorthand
from strandwright.workshop.job import job_from_table
from strandwright.workshop.parts import StopFinding
from strandwright.workshop.writes import Save

Table = dict[str, Any]


def add_job(
    desk: JobDesk, id: str, head: Mapping[str, Any], entry: Mapping[str, Any], bench: Table
) -> str:
    """Make the job of a line of an order: customer and bow are the order's.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity of the order.
    head : mapping
        ``id``, ``at`` and ``by`` of the event that adds it.
    entry : mapping
        As :func:`strandwright.planning.take_off.new_line.job_from_shorthand` takes it; what it
        says of the bow is laid over what the order knows.
    bench : dict
        Tables of the bench.

    Returns
    -------
    str
        The job's id. Made and added in one act: neither is there without the other.

    Raises
    ------
    InputError
        If the job cannot be meant, or the order takes no more.
    Conflict
        If another job has that id.
    NotFound
        If there is no such order.
    """
    kept = kept_order(desk, id)
    own = of_order(kept, entry)
    made = job_from_shorthand({**entry, "customer": own["customer"], "bow": own["bow"]}, bench)
    job = job_from_table({**tables_of(made), "original": own["original"]})
    refuse_impossible(job)
    event = read_event({**head, "type": "job-added", "body": {"job": job.id}}, "in")
    save = Save("job", job.id, tables_of(job), desk.now(), 0)
    try:
        decided(desk, id, [event], [save])
    except Conflict as error:
        if error.kind != "job":
            raise
        rule, remedy = "is kept here already, with another content", "give this one another id"
        raise Conflict("job", job.id, rule, remedy, error.newest) from error
    return job.id


def of_order(kept: KeptOrder, entry: Mapping[str, Any]) -> Table:
    """Give what a job has from its order: the customer, the bow, what was found on it.

    Parameters
    ----------
    kept : KeptOrder
        The order.
    entry : mapping
        What was typed of the line.

    Returns
    -------
    dict
        ``customer``, ``bow`` and ``original``.
    """
    state, typed = kept.state, entry.get("bow")
    bow = {} if state.bow is None else state.bow.model_dump(mode="json", exclude_defaults=True)
    given = cast("Table", typed) if isinstance(typed, dict) else {}
    told = {name: value for name, value in given.items() if value not in ("", None)}
    if told.get("kind", bow.get("kind")) != bow.get("kind"):
        # Another kind of bow is another bow: nothing of the order's holds for it.
        bow = {}
    answered = {(r.finding, r.where) for r in kept.verdict.reasons if r.answered}
    stop = [_at_the_bench(one, (one.finding, one.where) in answered) for one in state.findings]
    return {
        "customer": "" if kept.customer is None else kept.customer.name,
        "bow": {**bow, **told},
        "original": {"stop": stop} if stop else {},
    }


def _at_the_bench(found: StopFinding, is_answered: bool) -> Table:
    """Give a finding as the bench has to know it: what the owner answered is asked no more."""
    table = found.model_dump(mode="json", exclude_defaults=True, exclude={"photos"})
    return table | {"decision": "note"} if is_answered and found.decision == "ask" else table
