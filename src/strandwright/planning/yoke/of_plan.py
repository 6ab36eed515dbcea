"""The yoke of a plan: everything a plan says of the fork at its far end."""

from __future__ import annotations

from strandwright.planning.estimate import Estimate
from strandwright.planning.result.plan import Plan
from strandwright.planning.result.yoke import YokePlan
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.planning.yoke.effects import half_turn_apart, lean_of, reserve_of, turns_on
from strandwright.planning.yoke.legs import halved
from strandwright.planning.yoke.matched import legs_matched
from strandwright.planning.yoke.refusals import refuse_legs
from strandwright.planning.yoke.strap import plan_strap


def yoke_of(plan: Plan) -> YokePlan | None:
    """Work out what a plan says of its yoke.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    YokePlan or None
        None where its line has none.
    """
    told = plan.job.line.yoke
    if told is None:
        return None
    overall = Estimate(plan.target.length.value, plan.landing.guided_u, "m")
    if told.made == "strap":
        return YokePlan(
            made="strap",
            leg=told.leg.si,
            overall=overall,
            throat=None,
            legs=(),
            on_pin=None,
            on_axle=None,
            reserve=None,
            lean=None,
            half_turn_apart=0.0,
            read=(),
            strap=plan_strap(plan),
        )
    yoke = PlannedYoke.of(plan)
    for number, read in enumerate(plan.job.build.legs):
        refuse_legs(plan, yoke, read, f"build.legs[{number + 1}]")
    span = 0.0 if told.span is None else told.span.si
    throat = next(s for s in plan.servings if s.use == "throat")
    return YokePlan(
        made="halves",
        leg=told.leg.si,
        overall=overall,
        throat=(throat.start, throat.stop),
        legs=halved(plan),
        on_pin=turns_on(yoke, 0.0, plan.twist.next_turn),
        on_axle=turns_on(yoke, span, plan.twist.next_turn) if span > 0.0 else None,
        reserve=reserve_of(yoke),
        lean=lean_of(yoke, span) if span > 0.0 else None,
        half_turn_apart=half_turn_apart(yoke),
        read=tuple(legs_matched(yoke, read) for read in plan.job.build.legs),
        strap=None,
    )
