"""Differences of a matched spare: in what it is not the same as the line it matches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from strandwright.planning.desk.advice import Advice
from strandwright.planning.desk.builds import Desk
from strandwright.planning.plan_line import MODEL_VERSION
from strandwright.planning.result import Plan
from strandwright.planning.written import Written, half_turns
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.parts import BenchSpec

#: Turns are told apart by half turns [turn]
_HALF = 0.5


@dataclass(frozen=True)
class Taken:
    """What was taken from the record of a finished build.

    Attributes
    ----------
    proved : float or None
        Length it was proved at; None where no proof was read [m]
    length : float
        Length the spare is to have: that, with all turns put in since [m]
    turns : float
        Turns in the line now [turn]
    turns_on_bow : float
        Of them, put in on the bow; below 0 where they were taken out [turn]
    hand : str
        S or Z.
    posts : float or None
        Post setting it was wound at; None where nobody said it [m]
    """

    proved: float | None
    length: float
    turns: float
    turns_on_bow: float
    hand: str
    posts: float | None


@dataclass(frozen=True)
class Difference:
    """One thing in which a spare is not the same, or cannot be known to be.

    Attributes
    ----------
    of : str
        What: ``length``, ``bench``, ``lot``, ``posts``, ``turns``, ``shop``, ``model``.
    said : str
        How it differs.
    remedy : str
        What to do; empty where there is nothing to do.
    """

    of: str
    said: str
    remedy: str


def differences_of(
    desk: Desk, advice: Advice, taken: Taken, plan: Plan, model: int
) -> tuple[Difference, ...]:
    """Tell in what a spare differs from the line it matches.

    Parameters
    ----------
    desk : Desk
        The desk.
    advice : Advice
        The finished build.
    taken : Taken
        What was taken from its record.
    plan : Plan
        The spare's plan.
    model : int
        Version of the model that the build's plan was made by [-]

    Returns
    -------
    tuple of Difference
        Empty where nothing is known to differ.
    """
    to = Written.on(plan.job.paper)
    return (
        *_length(taken, advice, to),
        *_bench(desk, advice, plan),
        *_lot(advice, plan),
        *_posts(taken, advice, plan, to),
        *_turns(taken, plan),
        *_learned(advice, plan, model),
    )


def _length(taken: Taken, advice: Advice, to: Written) -> Iterator[Difference]:
    if taken.proved is None:
        said = "no proof was read: the length is what the numbers make of its readings"
        yield Difference("length", said, "take the line down and read it, if you can")
    if taken.turns_on_bow:
        way = "put in" if taken.turns_on_bow > 0.0 else "taken out"
        said = (
            f"{half_turns(abs(taken.turns_on_bow))} turns were {way} on the bow: the spare asks "
            f"for the length it has with them, {to.fine(taken.length)}"
        )
        yield Difference("turns on the bow", said, "")
    settles = "it will settle on its bow as the first one did; read it again after some shots"
    asked = advice.plan.target.length.value
    if abs(taken.length - asked) > advice.plan.target.tolerance:
        said = f"the first one was asked for at {to.fine(asked)} and became {to.fine(taken.length)}"
        yield Difference("length", said, settles)


def _bench(desk: Desk, advice: Advice, plan: Plan) -> Iterator[Difference]:
    old, new = advice.first.job.bench, plan.job.bench
    if new.name != old.name or new != old:
        said = f"it is to be built on the {new.name}, the first one was on the {old.name}"
        remedy = "posts, turns and readings are planned anew for it; rely on the proof"
        yield Difference("bench", said, remedy)
        return
    for document in desk.store.documents("bench"):
        kept = noun_from_table(BenchSpec, document.table, "bench")
        if kept.name == old.name and kept != old:
            changed = [k for k in BenchSpec.model_fields if getattr(kept, k) != getattr(old, k)]
            said = f"the {old.name} has been changed since: {', '.join(sorted(changed))}"
            remedy = f"build it on the bench as it is now: choose the bench {document.id}"
            yield Difference("bench", said, remedy)


def _lot(advice: Advice, plan: Plan) -> Iterator[Difference]:
    old, new = advice.first.job.makeup.lot.strip(), plan.job.makeup.lot.strip()
    if not old and not new:
        said = "nobody wrote down which lot the first one was wound of"
        yield Difference("lot", said, "take the same spools, if they are still there")
    elif new != old:
        first = f"lot {old}" if old else "a lot that nobody wrote down"
        said = (
            f"it is to be wound of {f'lot {new}' if new else 'another'}, the first one of {first}"
        )
        yield Difference("lot", said, "another lot stretches otherwise; rely on the proof")
    else:
        remedy = "if none of it is left, say the lot you take: it will be planned for that"
        yield Difference("lot", f"it is to be wound of lot {new}, as the first one was", remedy)


def _posts(taken: Taken, advice: Advice, plan: Plan, to: Written) -> Iterator[Difference]:
    if taken.posts is None:
        said = "the record does not say where the posts stood: the setting is planned anew"
        yield Difference("posts", said, "")
    elif plan.job.route.wound_at is None:
        now = to.fine(plan.winding.posts_outside.value)
        said = f"the first one was wound at {to.fine(taken.posts)}; here the posts stand at {now}"
        yield Difference("posts", said, "")
    counted = advice.state.strands
    if counted is not None and counted != advice.first.job.makeup.strands:
        said = (
            f"{counted} strands were counted in the first one, not the "
            f"{advice.first.job.makeup.strands} that were planned: the spare has {counted}"
        )
        yield Difference("strands", said, "change makeup.strands if that was a slip")


def _turns(taken: Taken, plan: Plan) -> Iterator[Difference]:
    off = plan.twist.turns - taken.turns
    if abs(off) >= _HALF:
        said = (
            f"the record has {half_turns(taken.turns)} turns {taken.hand}; by what is known now "
            f"{half_turns(plan.twist.turns)} will be needed"
        )
        yield Difference("turns", said, "the readings of the build decide")


def _learned(advice: Advice, plan: Plan, model: int) -> Iterator[Difference]:
    before, now = advice.first.job.shop, plan.job.shop
    builds = (now.builds if now else 0) - (before.builds if before else 0)
    if builds > 0:
        told = "1 build was" if builds == 1 else f"{builds} builds were"
        said = f"{told} finished since the first one was planned: the shop knows more now"
        yield Difference("shop", said, "")
    if model != MODEL_VERSION:
        said = f"the first one was planned by version {model} of the model, this by {MODEL_VERSION}"
        yield Difference("model", said, "")
