"""The steps of a plan, as the technician does them: one act and one number each."""

from __future__ import annotations

from dataclasses import replace

from strandwright.planning.result import Plan, Step
from strandwright.planning.steps.crossbow import cock_steps, with_crossbow
from strandwright.planning.steps.laid import laid_in_steps
from strandwright.planning.steps.on_the_bow import on_bow_steps
from strandwright.planning.steps.orders import ORDERS
from strandwright.planning.steps.proof import TOO_COARSE, fit_step, proof_step
from strandwright.planning.steps.winding import even_step, posts_step, shift_step, wind_steps
from strandwright.planning.steps.words import Words
from strandwright.planning.steps.yoke import hung_by_legs, with_yoke

__all__ = ["TOO_COARSE", "lay_out_steps"]


def lay_out_steps(plan: Plan) -> tuple[Step, ...]:
    """Lay out the route step by step.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Step
        Numbered from 1.
    """
    words = Words(plan)
    first = [posts_step(words), *wind_steps(words), even_step(words), shift_step(words)]
    middle = with_crossbow(words, with_yoke(words, ORDERS[plan.route.order](words)))
    made = [*first, *middle] if plan.laid is None else laid_in_steps(words, plan.laid)
    proof = hung_by_legs(words, proof_step(words))
    drafts = [*made, proof, fit_step(words), *on_bow_steps(words), *cock_steps(words)]
    behind = max((i for i, d in enumerate(drafts) if d.done), default=-1)
    return tuple(
        replace(draft, number=i + 1, done=i <= behind, id=draft.id or draft.key)
        for i, draft in enumerate(drafts)
    )
