"""Page: everything the counter shows of an order, and the one act that comes next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from strandwright.planning.cautions import FIRST_DRAW, at_the_change
from strandwright.planning.fits.low_stretch import why_polyester
from strandwright.planning.orders.looking import (
    Missing,
    figures_of,
    missing,
    unlooked,
)
from strandwright.planning.orders.verdict import Reason, Verdict, question_of, refusal_of
from strandwright.reference.stops import stops_for
from strandwright.units import Entered
from strandwright.workshop.customer import Customer
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


@dataclass(frozen=True)
class NextAct:
    """The one act that comes next.

    Attributes
    ----------
    key : str
        What it is, for a page to act on.
    title : str
        The verb on the button.
    said : str
        Why it comes next.
    """

    key: str
    title: str
    said: str


def next_act(state: OrderState, verdict: Verdict, *, reached: bool = True) -> NextAct:
    """Give the one act that comes next.

    Parameters
    ----------
    state : OrderState
        The order.
    verdict : Verdict
        Whether the work may go on.
    reached : bool
        Whether the customer left a way to be reached.

    Returns
    -------
    NextAct
        The act.
    """
    for find in (_at_the_end, _on_the_bow, _with_the_owner, _to_the_bench):
        act = find(state, verdict)
        if act is not None:
            if act.key == "ask" and not reached:
                return NextAct(act.key, act.title, f"{act.said} No way to reach them is kept.")
            return act
    if not state.jobs:
        return NextAct("hand over", "Hand the bow back", "It was looked over; no line was ordered.")
    return NextAct("hand over", "Hand bow and lines over", "Everything ordered is built.")


def _at_the_end(state: OrderState, verdict: Verdict) -> NextAct | None:
    if state.closed is not None:
        return NextAct("", "", "This order is closed.")
    if state.handed_over is not None:
        return NextAct("close", "Close the order", "The customer has the bow again.")
    if state.refused:
        said = "The work was refused; the bow goes back as it came."
        return NextAct("hand over", "Hand the bow back", said)
    if verdict.word == "refuse":
        said = "What was found forbids it: " + "; ".join(_names(verdict.of("refuse")))
        return NextAct("refuse", "Refuse the work", f"{said}.")
    return None


def _on_the_bow(state: OrderState, verdict: Verdict) -> NextAct | None:
    del verdict
    left = unlooked(state)
    if left:
        said = f"{len(left)} of the things to look at are open; the first is: {left[0].name}."
        return NextAct("look", "Look it over", said)
    needed = [one for one in missing(state) if one.needed]
    if needed:
        key = "measure bow" if any(one.part == "baseline" for one in needed) else "photo"
        return NextAct(key, "Measure it as it came", f"Before any press: {needed[0].ask}")
    return None


def _with_the_owner(state: OrderState, verdict: Verdict) -> NextAct | None:
    if state.waiting:
        return NextAct("answer", "Write down the answer", f"Asked: {state.waiting[0].question}")
    if verdict.word == "ask":
        said = "The owner decides about: " + "; ".join(_names(verdict.of("ask")))
        return NextAct("ask", "Ask the owner", f"{said}.")
    return None


def _to_the_bench(state: OrderState, verdict: Verdict) -> NextAct | None:
    del verdict
    wanted = 1 if state.opened is None else state.opened.lines
    if len(state.jobs) < wanted:
        which = f"line {len(state.jobs) + 1} of {wanted}"
        said = f"The bow is looked over and measured: ready to measure {which}."
        return NextAct("take off", "Measure the line", said)
    if state.jobs and state.quoted is None:
        return NextAct("quote", "Price it", "Every line has its job.")
    if state.jobs and state.accepted is None:
        return NextAct("accept", "Write down that they take it", "The price was told.")
    if state.jobs and not state.all_made:
        made = {one.job for one in state.made}
        left = [job for job in state.jobs if job not in made]
        return NextAct("build", "Go to the lines", f"To be built: {', '.join(left)}.")
    return None


def _names(reasons: Sequence[Reason]) -> list[str]:
    return [f"{one.finding}, {one.where}" if one.where else one.finding for one in reasons]


def order_page(
    id: str,
    state: OrderState,
    customer: Customer | None,
    verdict: Verdict,
    jobs: Sequence[Mapping[str, Any]] = (),
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

    Returns
    -------
    dict
        JSON-ready.
    """
    reached = customer is not None and bool(customer.reach)
    act = next_act(state, verdict, reached=reached)
    question, about = question_of(verdict)
    bow = state.bow
    return {
        "id": id,
        "number": order_number(id),
        "status": state.status,
        "seq": state.seq,
        "opened_at": state.opened_at,
        "next": {"key": act.key, "title": act.title, "said": act.said},
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
