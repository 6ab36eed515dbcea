"""The last steps: prove the length, tag the line and fit it."""

from __future__ import annotations

from strandwright.planning import cautions
from strandwright.planning.result import Step
from strandwright.planning.steps.line import positive
from strandwright.planning.steps.words import Words, make_step

#: A bench that could accept only this share of the tolerance or less cannot prove it [-]
TOO_COARSE = 0.25
#: So many readings, each with the load let down between, and chance alone is halved [-]
_READINGS = 4


def proof_step(words: Words) -> Step:
    """Word the proof.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    plan, stage = words.plan, words.plan.stage("proof")
    return make_step(
        "proof",
        "Prove the length",
        words.written.fine(plan.target.length.value + plan.landing.to_come),
        _asked(words),
        f"at {words.written.force(stage.load)} over {words.written.fine(stage.pins[0])} pins, "
        "after 20 s; "
        f"the numbers alone promise {words.written.estimate(stage.length)}",
        _rule(words),
        f"a turn more: {words.written.small_estimate(positive(plan.twist.next_turn))} shorter; "
        f"half a turn: {words.written.small_estimate(positive(plan.twist.next_half))}",
        caution=cautions.RETENSION,
        done=plan.landing.proved,
        id="read-proof",
        stage="proof",
        load=stage.load,
    )


def _asked(words: Words) -> str:
    """Say the length asked, where the tape should read otherwise."""
    plan = words.plan
    asked, to_come = plan.target.length.value, plan.landing.to_come
    if words.written.fine(asked) == words.written.fine(asked + to_come):
        return ""
    way = "longer" if to_come > 0.0 else "shorter"
    return (
        f"{words.written.fine(asked)} is asked: after this rest it still reads "
        f"{words.written.small(abs(to_come))} {way} than by itself"
    )


def _rule(words: Words) -> str:
    landing = words.plan.landing
    if landing.proved:
        return landing.proof.sentence()
    if landing.proof.acceptance_limit < TOO_COARSE * landing.proof.tolerance:
        remedy = f"; to be rid of it: {landing.remedies[0].name}" if landing.remedies else ""
        return (
            f"this bench's reading, sure to ± {words.written.small(2.0 * landing.proof_u)}, is too "
            f"coarse to prove within {words.written.small(landing.proof.tolerance)}: read it "
            f"{_READINGS} times, letting down between, log their mean, and log the line as it is"
            f"{remedy}"
        )
    return (
        f"accept up to {words.no_more_than(landing.proof.acceptance_limit)} off, correct beyond; "
        f"the reading is sure to ± {words.written.small(2.0 * landing.proof_u)}"
    )


def fit_step(words: Words) -> Step:
    """Word the tag, the wax and the fitting.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    plan = words.plan
    bow = plan.job.bow
    off, first = cautions.at_the_change(bow.kind, bow.crossbow)
    return make_step(
        "tag",
        "Tag, wax and fit",
        f"{words.turns(plan.twist.turns)} turns {plan.twist.hand}",
        "write length, load, turns and hand on the tag",
        "let right down; clip the loops together as they come off, so that no turn is lost",
        "push each serving with a thumb: none may slide",
        _tails_said(words),
        _wax_said(words),
        caution=f"{off} {first} {cautions.DEFER}",
    )


def _tails_said(words: Words) -> str:
    """Say which ends may be cut: what lies under a serving or is married in holds the line."""
    if words.plan.laid is not None:
        return "married tails hold the line: cut none of them"
    return (
        "cut only an end that sticks out of a serving and is tied off under it; what lies under a "
        "serving holds a strand and stays"
    )


def _wax_said(words: Words) -> str:
    if words.plan.job.bow.kind != "crossbow":
        return "wax the bare strands, not the servings"
    return (
        "wax the bare strands alone: whether the centre serving gets any, and which, its maker's "
        "manual decides; until then keep it dry"
    )
