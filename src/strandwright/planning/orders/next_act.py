"""Next act: the one thing to do with an order now, danger before everything else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.planning.orders.looking import missing, unlooked
from strandwright.planning.orders.verdict import Reason, Verdict
from strandwright.workshop.order_state import OrderState


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


def next_act(
    state: OrderState, verdict: Verdict, *, reached: bool = True, fit: str = ""
) -> NextAct:
    """Give the one act that comes next.

    Parameters
    ----------
    state : OrderState
        The order.
    verdict : Verdict
        Whether the work may go on.
    reached : bool
        Whether the customer left a way to be reached.
    fit : str
        How far its lines are on their way onto the bow: ``on the way``, ``right``, ``given up``;
        empty where they are not.

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
    if fit == "on the way":
        return NextAct("fit", "Go on with the walk", "Its lines are on their way onto the bow.")
    if state.opened is not None and "fit and set" in state.opened.work and fit != "right":
        said = "Everything ordered is built; it is to be fitted and set."
        return NextAct("fit", "Walk the lines onto the bow", said)
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
