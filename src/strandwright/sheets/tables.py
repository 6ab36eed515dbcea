"""Tables of a sheet: winding by colour, servings and marks, and the readings to take."""

from __future__ import annotations

from typing import Any

from strandwright.planning.details.speckle import flecks_by_name
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import ColourRun, Plan, ServingPlan, StagePlan
from strandwright.sheets.prose import prose, words
from strandwright.sheets.records import Pen, Record, count
from strandwright.units import INCH

Section = dict[str, Any]


def winding_section(plan: Plan, pen: Pen) -> Section:
    """Give the winding, colour by colour.

    Parameters
    ----------
    plan : Plan
        The plan.
    pen : Pen
        Writes the quantities.

    Returns
    -------
    dict
        Posts, tails and one row a colour.
    """
    winding, flecks = plan.winding, flecks_by_name(plan.job)
    return {
        "laid": plan.laid is not None,
        "outside": pen.estimate(winding.posts_outside),
        "centres": pen.estimate(winding.posts_centres),
        "after": pen.estimate(winding.after_winding),
        "drag": pen.force(winding.drag),
        "load": pen.estimate(winding.load),
        "slack": count(winding.slack_passes, "pass"),
        "has_slack": winding.slack_passes > 0,
        "runs": [
            _run(run, pen) | {"flecks": list(flecks.get(run.name, ()))} for run in winding.runs
        ],
        "total": {
            "strands": count(winding.strands),
            "passes": count(winding.passes),
            "rounds": count(winding.rounds),
        },
        "tail_cut": pen.length(winding.tail_cut),
        "tail_hold": pen.small(winding.tail_hold),
        "tail_place": prose(winding.tail_place),
        "shift": pen.length(winding.shift),
        "has_shift": abs(winding.shift) > 1e-9,
        "weighing": prose(winding.weighing),
    }


def _run(run: ColourRun, pen: Pen) -> Section:
    """Give one colour; each pass from post to post lays one strand."""
    return {
        "name": words(run.name),
        "colour": run.colour,
        "strands": count(run.strands),
        "passes": count(run.strands),
        "rounds": count(run.rounds),
        "starts": run.starts_at,
        "ends": run.ends_at,
        "strand": pen.thread(Estimate(run.thread_length, 0.0, "m")),
        "spool": pen.estimate(run.mass),
        "scale": "yes" if run.scale_finds_missing else "see below",
    }


def serving_section(plan: Plan, pen: Pen) -> Section:
    """Give servings and marks, as they lie now and finished.

    Parameters
    ----------
    plan : Plan
        The plan.
    pen : Pen
        Writes the quantities.

    Returns
    -------
    dict
        The marking state, one row a serving, one row a mark.
    """
    marking = plan.stage("marking")
    return {
        "state": marking.title,
        "load": pen.force(marking.load),
        "zero": words(plan.job.line.zero_end.name),
        "rows": [_serving(serving, pen) for serving in plan.servings],
        "marks": [
            {"name": words(m.name), "now": pen.length(m.now), "finished": pen.estimate(m.position)}
            for m in plan.marks
        ],
    }


def _serving(serving: ServingPlan, pen: Pen) -> Section:
    """Give one serving."""
    return {
        "name": words(serving.name),
        "colour": serving.colour,
        "thread": prose(serving.thread),
        "hand": serving.hand,
        "lock": serving.locked_by_twist,
        "now_start": pen.length(serving.now_start),
        "now_stop": pen.length(serving.now_stop),
        "start": pen.estimate(serving.start),
        "stop": pen.estimate(serving.stop),
        "wraps": pen.estimate(serving.wraps),
        "length": pen.thread(serving.thread_length),
        "bobbins": count(serving.bobbins),
        "outside": pen.small(serving.outside),
        "warnings": [prose(warning) for warning in serving.warnings],
    }


def reading_section(plan: Plan, pen: Pen) -> Section:
    """Give the readings to take, and the rule for the last one.

    Parameters
    ----------
    plan : Plan
        The plan.
    pen : Pen
        Writes the quantities.

    Returns
    -------
    dict
        One row a reading, the acceptance limits, what a turn does.
    """
    # No finer than the paper's tape shows, or the step would be written as nothing.
    step = INCH / min(16, pen.written.fraction) if pen.is_inches else 1e-3
    read = {learned.stage: learned.read for learned in plan.learned}
    rows = [_reading(s, read.get(s.key), step, plan, pen) for s in plan.stages if s.reading]
    return {
        "rows": rows,
        "step": pen.length(step),
        "next_turn": pen.small(_size(plan.twist.next_turn)),
        "next_half": pen.small(_size(plan.twist.next_half)),
        "less_turn": pen.small(_size(plan.twist.less_turn)),
        "most_turns": count(plan.twist.most_turns, "turn"),
        "proof": _proof(plan, pen),
    }


def _size(found: Estimate) -> Estimate:
    """Drop the sign of a change; the words beside it say which way."""
    return Estimate(abs(found.value), found.u, found.unit)


def _reading(
    stage: StagePlan, read: float | None, step: float, plan: Plan, pen: Pen
) -> Section:
    """Give one reading with what to do if it is off."""
    return {
        "key": stage.key,
        "title": words(stage.title),
        "load": pen.force(stage.load),
        "pins": _pins(stage, pen),
        "turns": count(stage.turns),
        "expected": pen.estimate(stage.length),
        "buys": pen.within(2.0 * max(stage.buys, 0.0), "value") | {"u": 0.0},
        "helps": stage.buys > 1e-5,
        "otherwise": _turns_for(step, plan),
        "read": None if read is None else pen.length(read, "value") | {"u": 0.0},
    }


def _pins(stage: StagePlan, pen: Pen) -> list[Record]:
    """Give one pin where both are alike."""
    zero, far = stage.pins
    pins = [pen.length(zero)] if abs(zero - far) < 1e-6 else [pen.length(zero), pen.length(far)]
    return pins


def _turns_for(step: float, plan: Plan) -> Record:
    """Give the turns that take up one step of length, to a half turn."""
    each = abs(plan.twist.next_turn.value)
    return count(max(0.5, round(2.0 * step / each) / 2.0) if each > 0.0 else 0.0, "turn")


def _proof(plan: Plan, pen: Pen) -> Section:
    """Give the acceptance rule for the proof reading."""
    rule = plan.landing.proof
    target = plan.target.length.value + plan.landing.to_come
    return {
        "target": pen.length(target),
        "tolerance": pen.within(rule.tolerance),
        "reading": pen.within(rule.expanded_uncertainty, "value") | {"u": plan.landing.proof_u},
        "can_accept": rule.can_accept,
        "guarded": rule.is_guarded,
        "accept": pen.limit(rule.acceptance_limit, inwards=True),
        "reject": pen.limit(rule.rejection_limit, inwards=False),
        "sentence": rule.sentence() if not rule.can_accept else "",
        "rest": prose(f"{pen.written.duration(plan.rest)}"),
    }
