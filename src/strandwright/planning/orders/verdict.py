"""Verdict: whether the work may go on, must wait for the owner, or is refused; with the reasons."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from strandwright.planning.fits.low_stretch import is_too_stiff, why_polyester
from strandwright.planning.orders.looking import may_draw
from strandwright.reference.stops import LOW_STRETCH, stop
from strandwright.workshop.order_state import OrderState
from strandwright.workshop.parts import Decision

Word = Literal["refuse", "ask", "go"]


@dataclass(frozen=True)
class Reason:
    """Something found, and what follows from it.

    Attributes
    ----------
    finding : str
        What is found.
    where : str
        Where on the bow; may be empty.
    decision : str
        How it stands.
    answered : str
        What the owner said to it; empty where nothing was said yet.
    why : str
        What it does to the bow or to the line.
    customer : str
        The words for the owner.
    source : str
        Who says so.
    kind : str
        As of any row of the reference tables.
    undrawn : bool
        Whether the bow is not drawn as it stands.
    """

    finding: str
    where: str
    decision: Decision
    answered: str
    why: str
    customer: str
    source: str
    kind: str
    undrawn: bool

    @property
    def word(self) -> Word:
        """What follows from this one alone."""
        if self.decision == "refuse":
            return "refuse"
        return "ask" if self.decision == "ask" and not self.answered else "go"


@dataclass(frozen=True)
class Verdict:
    """Whether the work may go on.

    Attributes
    ----------
    word : str
        ``refuse``, ``ask`` or ``go``: the gravest of the reasons.
    reasons : tuple of Reason
        The gravest first.
    drawable : bool
        Whether the bow may be drawn as it stands.
    """

    word: Word
    reasons: tuple[Reason, ...]
    drawable: bool

    def of(self, word: Word) -> tuple[Reason, ...]:
        """Give the reasons from which one word follows.

        Parameters
        ----------
        word : str
            The word.

        Returns
        -------
        tuple of Reason
            Those.
        """
        return tuple(reason for reason in self.reasons if reason.word == word)


_GRAVEST: tuple[Word, ...] = ("refuse", "ask", "go")


def verdict_of(state: OrderState, fibres: Sequence[str] = ()) -> Verdict:
    """Say whether the work on an order may go on.

    Parameters
    ----------
    state : OrderState
        The order.
    fibres : sequence of str
        Chemistry of the strand of each of its jobs.

    Returns
    -------
    Verdict
        By what was found and by what follows from the jobs. A finding that the owner answered
        holds nothing up any more, unless it is one to refuse.
    """
    reasons = sorted(_reasons(state, fibres), key=lambda one: _GRAVEST.index(one.word))
    word = reasons[0].word if reasons else "go"
    return Verdict("refuse" if state.refused else word, tuple(reasons), may_draw(state))


def _reasons(state: OrderState, fibres: Sequence[str]) -> Iterator[Reason]:
    for found in state.findings:
        yield _reason(state, found.finding, found.where, found.decision)
    bow = state.bow
    ticked = any(found.finding == LOW_STRETCH for found in state.findings)
    if bow is not None and not ticked and any(is_too_stiff(bow, fibre) for fibre in fibres):
        # Told from the jobs: a strand chosen anew takes it away again, a tick would not.
        yield _reason(state, LOW_STRETCH, why_polyester(bow), stop(LOW_STRETCH).verdict)


def _reason(state: OrderState, finding: str, where: str, decision: Decision) -> Reason:
    row = stop(finding)
    said = [one.answer for one in state.questions if one.answer and finding in _about(one.about)]
    return Reason(
        finding, where, decision, said[-1] if said else "", row.why, row.customer, row.source,
        row.kind, row.undrawn and decision != "mended",
    )  # fmt: skip


def _about(text: str) -> tuple[str, ...]:
    """Read what a question is about: findings, one or several."""
    return tuple(part.strip() for part in text.split(";"))


def question_of(verdict: Verdict) -> tuple[str, str]:
    """Give the question that settles what the owner must be asked, all in one call.

    Parameters
    ----------
    verdict : Verdict
        The verdict.

    Returns
    -------
    (str, str)
        The words, and what it is about; both empty where nothing is to be asked.
    """
    asked = {reason.finding: reason for reason in verdict.of("ask")}
    return " ".join(one.customer for one in asked.values()), "; ".join(asked)


def refusal_of(verdict: Verdict) -> str:
    """Give the words in which the work is refused.

    Parameters
    ----------
    verdict : Verdict
        The verdict.

    Returns
    -------
    str
        Empty where nothing refuses it.
    """
    return " ".join(dict.fromkeys(reason.customer for reason in verdict.of("refuse")))
