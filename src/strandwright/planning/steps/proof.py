"""The last steps: prove the length, tag the line and fit it."""

from __future__ import annotations

from strandwright.planning import cautions
from strandwright.planning.result import Step
from strandwright.planning.steps.line import positive
from strandwright.planning.steps.words import Words, make_step

#: A bench that could accept only this share of the tolerance or less cannot prove it [-]
TOO_COARSE = 0.25


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
        return (
            f"this bench's reading, sure to ± {words.written.small(2.0 * landing.proof_u)}, is too "
            "coarse to prove the tolerance: "
            + (landing.remedies[0].name if landing.remedies else "read it more finely")
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
    bow = words.plan.job.bow
    off, first = cautions.at_the_change(bow.kind, bow.crossbow)
    return make_step(
        "tag",
        "Tag, wax and fit",
        f"{words.turns(words.plan.twist.turns)} turns {words.plan.twist.hand}",
        "write length, load, turns and hand on the tag; clip the loops together so that no turn "
        "is lost; tails trimmed, servings push-tested",
        caution=f"{off} {first} {cautions.DEFER}",
    )
