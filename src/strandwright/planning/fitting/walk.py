"""The walk: what is done on the bow, act by act, each with its caution and where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strandwright.planning import cautions
from strandwright.planning.fitting.figures import compared
from strandwright.planning.result import Plan
from strandwright.reference.fitting import FittingRow, fitting_rows
from strandwright.workshop.fit_state import FitState


@dataclass(frozen=True)
class Act:
    """One act of the walk.

    Attributes
    ----------
    name : str
        Its identity within the walk.
    title : str
        The act, a verb first.
    how : tuple of str
        What to do and to look for.
    caution : str
        Plain words where something can hurt; empty where nothing can.
    asks : str
        What is written down at it: ``nothing``, ``figures``, ``heights``, ``shots``.
    shots : int or None
        It comes when so many were shot [-]
    done_at : str
        When it was done, UTC; empty where it is not.
    source : str
        Where it comes from, and of what kind.
    """

    name: str
    title: str
    how: tuple[str, ...]
    caution: str
    asks: str
    shots: int | None
    done_at: str
    source: str


def walk(state: FitState, plans: Sequence[Plan]) -> tuple[Act, ...]:
    """Give the acts of a fit.

    Parameters
    ----------
    state : FitState
        How far it is.
    plans : sequence of Plan
        The plan each line was built by.

    Returns
    -------
    tuple of Act
        In the order of doing; empty before the fit is begun.
    """
    begun = state.begun
    if begun is None:
        return ()
    off, draw = cautions.at_the_change(begun.bow, begun.crossbow)
    said = {"press": off, "draw": draw, "strung": cautions.STRUNG, "none": ""}
    acts: list[Act] = []
    for row in fitting_rows(begun.bow):
        own = tuple(_of_plans(row, plans))
        if row.plans and not own and not row.how:
            continue
        done = state.done.get(row.name, "")
        acts.append(
            Act(
                row.name,
                row.title,
                (*((row.how,) if row.how else ()), *own),
                said[row.caution],
                row.asks,
                row.shots,
                done,
                f"{row.kind}: {row.source}",
            )
        )
    return tuple(acts)


def next_act(state: FitState, acts: Sequence[Act]) -> Act | None:
    """Give the act that comes next.

    Parameters
    ----------
    state : FitState
        How far the fit is.
    acts : sequence of Act
        The walk.

    Returns
    -------
    Act or None
        None when every act is done, or the walk was ended.
    """
    if state.ended is not None:
        return None
    return next((act for act in acts if not act.done_at), None)


def is_brought_back(state: FitState) -> bool | None:
    """Tell whether the bow measures as it did.

    Parameters
    ----------
    state : FitState
        How far the fit is.

    Returns
    -------
    bool or None
        None where no figure can be compared.
    """
    told = [one.is_right for one in compared(state) if one.is_right is not None]
    return all(told) if told else None


def _of_plans(row: FittingRow, plans: Sequence[Plan]) -> Iterator[str]:
    """Give what the lines' own plans say at an act."""
    if not row.plans:
        return
    for plan in plans:
        for step in plan.steps:
            if step.id.startswith(row.plans):
                told = [step.headline, *step.lines]
                name = f"{plan.job.line.name}: " if len(plans) > 1 else ""
                yield f"{name}{step.title}: " + "; ".join(part for part in told if part)
