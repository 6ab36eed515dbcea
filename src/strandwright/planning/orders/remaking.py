"""Remaking: a line that came back is made again from its record, in the order of this visit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from strandwright.errors import Conflict
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.orders.keeping import decided, kept_order
from strandwright.planning.orders.opening import read_event
from strandwright.planning.orders.warranty import Warranty, warranty_of
from strandwright.planning.sets.spare import Spare, spare_of_build
from strandwright.reference.causes import causes
from strandwright.workshop.derived import derived_id
from strandwright.workshop.documents import Listing
from strandwright.workshop.writes import Save

Fields = dict[str, Any]
#: Lines of a customer that are offered [-]
_OFFERED = 50


def remake(
    desk: Desk, order: str, head: Mapping[str, Any], told: Mapping[str, Any], job: str, name: str
) -> Spare:
    """Make the job of a line that is made again, and write down why.

    Parameters
    ----------
    desk : Desk
        The desk.
    order : str
        Identity of the order of this visit.
    head : mapping
        ``id``, ``at`` and ``by`` of the event.
    told : mapping
        ``build``, ``cause``, ``whose`` and ``said``.
    job, name : str
        Id and name of the new job.

    Returns
    -------
    Spare
        The job from the record, and in what it differs. The job, its place in the order and the
        reason are kept in one act; done twice it is one.

    Raises
    ------
    InputError
        If it cannot be meant, or the order takes no more.
    Conflict
        If the build was not finished, or another job has that id.
    NotFound
        If there is no such order or build.
    """
    kept_order(desk, order)
    spare = spare_of_build(desk, str(told.get("build", "")), job, name)
    added = {**head, "id": derived_id("job-added", head.get("id")), "type": "job-added"}
    opened = {**head, "type": "remake-opened", "body": {**told, "job": spare.job.id}}
    events = [
        read_event({**added, "body": {"job": spare.job.id}}, "in"),
        read_event(opened, "in"),
    ]
    table = tables_of(spare.job)
    try:
        decided(desk, order, events, [Save("job", spare.job.id, table, desk.now(), 0)])
    except Conflict as error:
        if error.kind != "job":
            raise
        rule, remedy = "is kept here already, with another content", "give this one another id"
        raise Conflict("job", spare.job.id, rule, remedy, error.newest) from error
    return spare


def came_back(desk: Desk, order: str) -> Fields:
    """Give which lines of an order's customer can have come back, and the causes.

    Parameters
    ----------
    desk : Desk
        The desk.
    order : str
        Identity of the order.

    Returns
    -------
    dict
        ``lines``, the latest first, each with its ``warranty``; ``causes`` with who usually
        stands for each; ``remakes`` that are opened in this order.

    Raises
    ------
    NotFound
        If there is no such order.
    """
    kept, now = kept_order(desk, order), datetime.fromisoformat(desk.now())
    who = "" if kept.customer is None else kept.customer.name
    rows = desk.store.listings("job", status="done", words=who, limit=_OFFERED) if who else ()
    mine = [row for row in rows if row.summary["customer"] == who and row.summary["build"]]
    return {
        "lines": [_line(row, warranty_of(desk.store, row.summary["build"], now)) for row in mine],
        "causes": [
            {"name": one.name, "whose": one.whose, "look": one.look, "source": one.source,
             "kind": one.kind}
            for one in causes()
        ],
        "remakes": [
            one.model_dump(mode="json")
            | {"warranty": _warranty(warranty_of(desk.store, one.build, now))}
            for one in kept.state.remakes
        ],
    }  # fmt: skip


def _line(row: Listing, warranty: Warranty) -> Fields:
    about = row.summary
    return {
        "build": about["build"],
        "job": row.id,
        "name": about["name"],
        "bow": about["bow"],
        "line": about["line"],
        "warranty": _warranty(warranty),
    }


def _warranty(warranty: Warranty) -> Fields:
    return {
        "days": warranty.days,
        "until": "" if warranty.until is None else warranty.until.date().isoformat(),
        "within": warranty.within,
        "said": warranty.said,
    }
