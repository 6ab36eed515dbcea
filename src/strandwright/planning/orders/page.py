"""Page: everything the counter shows of an order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from strandwright.planning.cautions import FIRST_DRAW, at_the_change
from strandwright.planning.fits.low_stretch import why_polyester
from strandwright.planning.orders.looking import (
    Missing,
    figures_of,
    missing,
    unlooked,
)
from strandwright.planning.orders.next_act import next_act
from strandwright.planning.orders.verdict import Reason, Verdict, question_of, refusal_of
from strandwright.reference.stops import stops_for
from strandwright.units import Entered
from strandwright.workshop.customer import Customer
from strandwright.workshop.documents import Listing
from strandwright.workshop.happenings.order import Baseline
from strandwright.workshop.order_state import OrderState, order_number

Fields = dict[str, Any]

#: What stands above a look at a bow that somebody else has set up and perhaps hurt.
BEFORE_THE_PRESS = (
    "Look first, touch later: no press, no draw and no turn of a bolt before all of this was "
    "looked at. Keep your face out of the limbs' path. The bow maker's manual, local rules and a "
    "qualified technician come before this list."
)
NO_DRAW = (
    "Do not draw this bow, not even once to see, and never let it go without an arrow. What needs "
    "a draw stays unread."
)


def order_page(
    id: str,
    state: OrderState,
    customer: Customer | None,
    verdict: Verdict,
    jobs: Sequence[Mapping[str, Any]] = (),
    fits: Sequence[Listing] = (),
) -> Fields:
    """Give everything the counter shows of an order.

    Parameters
    ----------
    id : str
        Its identity.
    state : OrderState
        How it stands.
    customer : Customer or None
        Whose it is; None before that is kept.
    verdict : Verdict
        Whether the work may go on.
    jobs : sequence of mapping
        Its jobs as a list shows them.
    fits : sequence of Listing
        Its lines' ways onto the bow, the latest first.

    Returns
    -------
    dict
        JSON-ready.
    """
    reached = customer is not None and bool(customer.reach)
    fit = fits[0] if fits else None
    act = next_act(state, verdict, reached=reached, fit="" if fit is None else fit.status)
    question, about = question_of(verdict)
    bow = state.bow
    return {
        "id": id,
        "number": order_number(id),
        "status": state.status,
        "seq": state.seq,
        "opened_at": state.opened_at,
        "next": {"key": act.key, "title": act.title, "said": act.said},
        "fit": None if fit is None else {"id": fit.id, "status": fit.status},
        "customer": None if customer is None else customer.model_dump(mode="json"),
        "opened": None if state.opened is None else _told(state.opened),
        "bow": None if bow is None else _told(bow),
        "verdict": {
            "word": verdict.word,
            "drawable": verdict.drawable,
            "reasons": [_reason(one) for one in verdict.reasons],
            "question": question,
            "about": about,
            "refusal": refusal_of(verdict),
        },
        "polyester": "" if bow is None else why_polyester(bow),
        "look": _look(state),
        "figures": _figures(state),
        "braced": state.baseline is None or state.baseline.braced,
        "missing": [_missing(one) for one in missing(state, reached=reached)],
        "photos": list(state.photos),
        "questions": [
            {"event": q.event, "at": q.at, "question": q.question, "about": q.about,
             "answer": q.answer}
            for q in state.questions
        ],
        "refused": state.refused,
        "jobs": [dict(job) for job in jobs],
        "paid": [{"amount": str(one.amount), "how": one.how} for one in state.paid],
        "notes": list(state.notes),
        "cautions": cautions_of(state, verdict),
    }  # fmt: skip


def cautions_of(state: OrderState, verdict: Verdict) -> Fields:
    """Give the cautions of the walk, each for the part it belongs to.

    Parameters
    ----------
    state : OrderState
        The order.
    verdict : Verdict
        Whether the work may go on.

    Returns
    -------
    dict
        ``look``, ``draw`` and ``press``.
    """
    bow = state.bow
    press, draw = at_the_change(bow.kind, bow.crossbow) if bow else ("", FIRST_DRAW)
    return {"look": BEFORE_THE_PRESS, "draw": draw if verdict.drawable else NO_DRAW, "press": press}


def _told(noun: Any) -> Fields:
    return noun.model_dump(mode="json", exclude_defaults=True)


def _reason(reason: Reason) -> Fields:
    return {
        "finding": reason.finding,
        "where": reason.where,
        "decision": reason.decision,
        "word": reason.word,
        "answered": reason.answered,
        "why": reason.why,
        "customer": reason.customer,
        "source": reason.source,
        "undrawn": reason.undrawn,
    }


def _look(state: OrderState) -> list[Fields]:
    """Give the rows to look at, each with how it stands."""
    if state.bow is None:
        return []
    left = {one.name for one in unlooked(state)}
    return [
        {
            "name": row.name,
            "look": row.look,
            "why": row.why,
            "verdict": row.verdict,
            "customer": row.customer,
            "source": f"{row.kind}: {row.source}",
            "undrawn": row.undrawn,
            "open": row.name in left,
            "sound": row.name in state.sound,
            "found": [_told(one) for one in state.findings if one.finding == row.name],
        }
        for row in stops_for(state.bow.kind)
    ]


def _figures(state: OrderState) -> list[Fields]:
    if state.bow is None:
        return []
    told = state.baseline or Baseline()
    return [
        {
            "name": figure.name,
            "label": figure.label,
            "why": figure.why,
            "such": figure.such,
            "drawn": figure.drawn,
            "needed": figure.needed,
            "text": _text(getattr(told, figure.name)),
        }
        for figure in figures_of(state.bow.kind)
    ]


def _text(value: object) -> str:
    return value.text if isinstance(value, Entered) else str(value or "")


def _missing(one: Missing) -> Fields:
    return {
        "part": one.part,
        "name": one.name,
        "ask": one.ask,
        "why": one.why,
        "needed": one.needed,
    }
