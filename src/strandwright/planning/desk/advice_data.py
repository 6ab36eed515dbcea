"""Advice data: the advice of a build as plain dictionaries, for HTTP and other programs.

Names stay as they are while ``format`` is 1; new ones may be added.
"""

from __future__ import annotations

from typing import Any

from strandwright.drawing.tokens import THEMES
from strandwright.planning import cautions
from strandwright.planning.desk.acts import SAME_TURNS, accepted, proof_stands
from strandwright.planning.desk.advice import Advice, Said, turns_text
from strandwright.planning.four_posts.picture import arms_pictures
from strandwright.planning.laid.cutting import cuts_of_run
from strandwright.planning.result import Plan, ServingPlan, Step
from strandwright.planning.servings.on_the_bow import made_on_bow
from strandwright.planning.steps.phrases import reach_of
from strandwright.planning.watching.data import watch_data
from strandwright.planning.worth.words import cost_said, reading_said
from strandwright.planning.written import Written
from strandwright.planning.yoke.data import legs_asked
from strandwright.statistics.acceptance import Verdict
from strandwright.workshop.build_state import BuildState
from strandwright.workshop.happenings.bench import DiameterRead, LegsRead, LengthRead, MassRead

#: Version of the field names.
FORMAT = 1

Fields = dict[str, Any]


def advice_data(build_id: str, advice: Advice) -> Fields:
    """Give the advice of a build as dictionaries, lists, texts, numbers, true and false.

    Parameters
    ----------
    build_id : str
        The build.
    advice : Advice
        Its advice.

    Returns
    -------
    dict
        Ready for ``json.dumps``.
    """
    plan, state = advice.plan, advice.state
    to = Written.on(plan.job.paper)
    bow = plan.job.bow
    off, first_draw = cautions.at_the_change(bow.kind, bow.crossbow)
    return {
        "format": FORMAT,
        "build": build_id,
        "job": plan.job.id,
        "name": plan.job.name,
        "line": plan.job.line.name,
        "seq": state.seq,
        "units": plan.job.paper.units,
        "began_at": state.began_at,
        "over": state.is_over,
        "verdict": verdict_of(advice),
        "steps": [_step(step) for step in advice.steps],
        "act": _act(advice, to),
        "arms": _arms(plan),
        "winding": _winding(plan, state, to),
        "turns": _turns(plan, state, to),
        "serve": _serve(plan, to),
        "rest": {"until": advice.rest_until or None, "text": to.duration(plan.rest)},
        "watch": watch_data(advice, to),
        "readings": [_said(said, to) for said in advice.readings],
        "question": None
        if advice.question is None
        else {
            "event": advice.question.event,
            "stage": advice.question.stage,
            "said": advice.question.said,
        },
        "why": list(advice.why),
        "worth_reading": _worth_reading(advice),
        "landing": {
            "chance_text": to.chance(plan.landing.chance),
            "chance_first_text": to.chance(plan.landing.chance_first),
            "finished_text": to.estimate(plan.landing.blind),
            "budget": [
                {"label": part.label, "share": part.share}
                for part in plan.landing.budget[:_PARTS]
            ],
        },
        "proof": _proof(advice, to),
        "warnings": list(plan.warnings),
        "notes": list(state.notes),
        "cautions": {
            "defer": cautions.DEFER,
            "press": off,
            "first_draw": first_draw,
        },
    }


def _worth_reading(advice: Advice) -> Fields | None:
    """Give a reading that pays and is not asked for."""
    worth = advice.worth_reading
    if worth is None:
        return None
    return {
        "kind": worth.key,
        "title": worth.title,
        "stage": worth.stage or None,
        "said": reading_said(worth),
        "gain_first": worth.gain_first,
        "gain": worth.gain,
        "cost_text": cost_said(worth.time),
    }


def verdict_of(advice: Advice) -> str | None:
    """Say how a build ended.

    Parameters
    ----------
    advice : Advice
        Its advice.

    Returns
    -------
    str or None
        ``proved``, ``logged, not proved``, ``put aside``; None while it goes on.
    """
    state = advice.state
    if state.locked is not None:
        proved = accepted(advice.plan, state, advice.counted)
        return "proved" if proved else "logged, not proved"
    return "put aside" if state.put_aside is not None else None


def _arms(plan: Plan) -> Fields | None:
    """Give the pictures of the steps on swinging arms, by theme; None on two posts."""
    if plan.four_posts is None and plan.laid is None:
        return None
    shown = (theme for theme in THEMES if theme != "print")
    return {
        "pictures": {
            theme: {step: list(svgs) for step, svgs in arms_pictures(plan, theme).items()}
            for theme in shown
        }
    }


def _step(step: Step) -> Fields:
    return {
        "id": step.id,
        "number": step.number,
        "key": step.key,
        "title": step.title,
        "headline": step.headline,
        "lines": list(step.lines),
        "caution": step.caution,
        "done": step.done,
        "run": step.run,
        "stage": step.stage or None,
        "turns": step.turns,
    }


def _act(advice: Advice, to: Written) -> Fields | None:
    if advice.act is None:
        return None
    step = advice.act.step
    fields = _step(step)
    fields["step"] = fields.pop("id")
    return fields | {"why": list(advice.why), "ask": _ask(advice, to)}


def _ask(advice: Advice, to: Written) -> Fields:
    """Say what the technician is to tell back when the act is done."""
    assert advice.act is not None
    plan, state, step = advice.plan, advice.state, advice.act.step
    asked: Fields = {
        "kind": _KINDS.get(step.key, "done"),
        "stage": step.stage or None,
        "load_text": None if step.load is None else to.force(step.load),
        "dwell_s": step.dwell,
        "may_lock": advice.act.may_lock,
    }
    if step.key == "posts":
        asked["suggest"] = to.fine(plan.winding.posts_outside.value)
    if step.key in ("read", "proof"):
        stage = plan.stage(step.stage)
        asked |= {
            "expected_text": to.estimate(stage.length),
            "pins_text": to.fine(stage.pins[0]),
            "turns": state.turns if state.turned else None,
        }
        if step.stage == "bare":
            expected = to.small_estimate(plan.bare_diameter)
            asked["diameter"] = {"of": "bare", "expected_text": expected}
    if step.key == "match":
        asked |= legs_asked(plan, to)
    if step.key in ("twist", "tag") or advice.act.may_lock:
        asked |= {"turns": step.turns if step.key == "twist" else state.turns}
        asked["hand"] = plan.twist.hand
    return asked


#: What each kind of step asks back.
#: Parts of the +- that are told at the jig [-]
_PARTS = 4
_KINDS = {
    "posts": "posts",
    "wind": "count",
    "read": "length",
    "proof": "length",
    "match": "legs",
    "twist": "turns",
    "serve": "serve",
    "tag": "lock",
}


def _winding(plan: Plan, state: BuildState, to: Written) -> Fields:
    runs = plan.winding.runs
    return {
        "runs": [
            {
                "run": i,
                "name": run.name,
                "colour": run.colour,
                "strands": run.strands,
                "halves": run.strands,
                "counts": "rounds" if plan.laid is None else "strands",
                "cuts": [to.length(length) for length in cuts_of_run(plan, i)],
                "laid": state.laid(i),
                "starts_at": run.starts_at,
                "ends_at": run.ends_at,
                "spool_loss_text": to.estimate(run.mass),
                "scale_finds_missing": run.scale_finds_missing,
            }
            for i, run in enumerate(runs)
        ],
        "strands_laid": sum(state.halves),
        "strands": plan.winding.strands,
        "last_laid": state.last_laid,
        "weighing": plan.winding.weighing,
    }


def _turns(plan: Plan, state: BuildState, to: Written) -> Fields:
    off = plan.twist.turns - state.turns
    text = ""
    if abs(off) >= SAME_TURNS:
        text = f"{turns_text(off)} more" if off > 0 else f"take out {turns_text(-off)}"
    one = to.small(abs(plan.twist.next_turn.value))
    return {
        "in": state.turns,
        "wanted": plan.twist.turns,
        "hand": plan.twist.hand,
        "to_go_text": text,
        "one_turn_text": f"{one} shorter",
    }


def _serve(plan: Plan, to: Written) -> Fields:
    stage = plan.stage("marking")
    on_already = frozenset[str]() if plan.four_posts is None else plan.four_posts.on_already
    elsewhere = on_already | made_on_bow(plan.job)
    # The serving that ties a yoke's legs goes on first, and its tie comes out after it.
    in_order = sorted(plan.servings, key=lambda s: s.use != "throat")
    return {
        "scale_text": (
            f"from the outside of the zero pin, at {to.force(stage.load)}, "
            f"the line reading {to.estimate(stage.length)}"
        ),
        "rows": [_serving(plan, s, to) for s in in_order if s.name not in elsewhere],
        "marks": [{"name": mark.name, "now_text": to.length(mark.now)} for mark in plan.marks],
    }


def _serving(plan: Plan, serving: ServingPlan, to: Written) -> Fields:
    reach = reach_of(plan, serving.now_start, serving.now_stop)
    return {
        "name": serving.name,
        "start_text": to.length(serving.now_start),
        "stop_text": to.length(serving.now_stop),
        "from_text": reach.start,
        "to_text": reach.stop,
        "pin_text": reach.pin,
        "thread": serving.thread,
        "hand": serving.hand,
        "colour": serving.colour,
        "thread_length_text": to.long(serving.thread_length),
        "wraps_text": f"{serving.wraps.value:.0f} wraps",
        "outside_text": to.small_estimate(serving.outside),
    }


def _said(said: Said, to: Written) -> Fields:
    reading = said.taken.reading
    fields: Fields = {
        "event": said.taken.event,
        "at": said.taken.at,
        "counts": said.counts,
        "surprising": said.surprising,
        "said": list(said.sentences),
    }
    match reading:
        case LengthRead():
            fields |= {"kind": "length", "stage": reading.stage, "text": reading.length.text}
            fields |= {"sure": reading.sure, "turns": reading.turns, "value": reading.length.si}
        case DiameterRead():
            fields |= {"kind": "diameter", "stage": reading.of, "text": reading.diameter.text}
            fields["value"] = reading.diameter.si
        case MassRead():
            fields |= {"kind": "mass", "stage": str(reading.run), "text": reading.lost.text}
            fields["value"] = reading.lost.si
        case LegsRead():
            fields |= {"kind": "legs", "stage": "match-legs"}
            fields |= {"text": f"left {reading.left.text}, right {reading.right.text}"}
            fields["value"] = reading.left.si - reading.right.si
        case _:
            # What was read while the line stood is told of beside its step.
            fields |= {"kind": "watched", "stage": reading.step, "text": reading.load.text}
            fields["value"] = reading.load.si
    if said.expected is not None:
        off = fields["value"] - said.expected.value
        fields["expected_text"] = (
            to.small_estimate(said.expected)
            if fields["kind"] == "diameter"
            else to.estimate(said.expected)
        )
        fields["expected_low"] = said.expected.value - said.expected.u95
        fields["expected_high"] = said.expected.value + said.expected.u95
        way = {"length": ("longer", "shorter"), "diameter": ("thicker", "thinner")}
        more, less = way.get(fields["kind"], ("heavier", "lighter"))
        size = to.mass(abs(off)) if fields["kind"] == "mass" else to.small(abs(off))
        fields["off_text"] = f"{size} {more if off > 0 else less} than expected"
    return fields


def _proof(advice: Advice, to: Written) -> Fields | None:
    counted = advice.counted
    if not proof_stands(advice.plan, advice.state, counted):
        return None
    last = counted[-1].reading
    assert isinstance(last, LengthRead)
    judgement = advice.plan.landing.proof
    way = "long" if judgement.error > 0 else "short"
    exact = abs(judgement.error) < 1e-6
    return {
        "verdict": judgement.verdict.value,
        "accepted": judgement.verdict is Verdict.ACCEPT,
        "sentence": judgement.sentence(),
        "error_text": "to the mark" if exact else f"{to.small(abs(judgement.error))} {way}",
        "read_text": last.length.text,
    }
