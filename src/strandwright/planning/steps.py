"""The steps of a plan, as the technician does them: one act and one number each."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from strandwright.line.route import Order
from strandwright.planning import cautions
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan, StagePlan, Step
from strandwright.planning.written import Written
from strandwright.units import INCH, format_length_decimal

#: A bench that could accept only this share of the tolerance or less cannot prove it [-]
TOO_COARSE = 0.25


@dataclass(frozen=True)
class _Words:
    """A plan, and its numbers as people read them."""

    plan: Plan

    @cached_property
    def written(self) -> Written:
        """Quantities in the job's own units."""
        return Written.on(self.plan.job.paper)

    def turns(self, turns: float) -> str:
        """Write turns or rounds in halves."""
        whole = int(turns)
        return f"{whole} 1/2" if turns - whole >= 0.25 else f"{whole}"

    def no_more_than(self, metres: float) -> str:
        """Write a small limit rounded down, so that rounding never lets a line pass."""
        units = self.plan.job.paper.units
        step = 0.001 * INCH if units == "in" else 0.0001
        digits = 3 if units == "in" else 1
        held = math.floor(metres / step + 1e-9) * step
        return format_length_decimal(held, units, digits)


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
    words = _Words(plan)
    first = [_posts(words), *_wind(words), _even(words), _shift(words)]
    middle = {
        Order.SERVE_THEN_TWIST: _serve_then_twist,
        Order.TWIST_THEN_SERVE: _twist_then_serve,
        Order.STRETCH_TWIST_SERVE: _stretch_twist_serve,
    }[plan.route.order](words)
    drafts = [*first, *middle, _proof(words), _fit(words)]
    behind = max((i for i, d in enumerate(drafts) if d.done), default=-1)
    return tuple(
        replace(draft, number=i + 1, done=i <= behind, id=draft.id or draft.key)
        for i, draft in enumerate(drafts)
    )


def _step(key: str, title: str, headline: str, *lines: str, **about: object) -> Step:
    """Make a step; empty lines are left out."""
    about = {"caution": ""} | about
    return Step(0, key, title, headline, tuple(line for line in lines if line), **about)  # pyright: ignore[reportArgumentType]


def _posts(words: _Words) -> Step:
    winding = words.plan.winding
    bench = words.plan.job.bench
    return _step(
        "posts",
        "Set the posts",
        words.written.estimate(winding.posts_outside),
        "outside to outside, empty; between centres "
        + words.written.estimate(winding.posts_centres),
        f"zero end at the {words.plan.job.line.zero_end.name} post; {bench.name}",
    )


def _wind(words: _Words) -> list[Step]:
    winding = words.plan.winding
    steps: list[Step] = []
    for i, run in enumerate(winding.runs):
        rounds = words.turns(run.rounds)
        title = "Wind" if len(winding.runs) == 1 else f"Wind the {run.name}"
        tie = "tie off" if i == 0 else "start"
        steps.append(
            _step(
                "wind",
                title,
                f"{rounds} rounds",
                f"{run.strands} strands, one a pass from post to post; {tie} at the "
                f"{run.starts_at}, ends at the {run.ends_at}; tails "
                f"{words.written.length(winding.tail_cut)}",
                f"drag about {words.written.force(winding.drag)} on the strand, the same all "
                "the way",
                f"spool loses {words.written.estimate(run.mass)}",
                id=f"wind-{i + 1}",
                run=i,
            )
        )
    last = steps[-1]
    stand = words.written.estimate(winding.after_winding)
    check = f"then the posts should stand {stand} outside to outside"
    slack = winding.slack_passes
    hang = f"the first {slack} strands will hang slack until evened out" if slack else ""
    steps[-1] = replace(last, lines=(*last.lines, check, *([hang] if hang else [])))
    return steps


def _even(words: _Words) -> Step:
    tightest = words.plan.winding.tightest
    uneven = f"until then the tightest strand carries {tightest:.1f} times its share"
    return _step(
        "even",
        "Even out the strands",
        words.written.force(words.plan.loads.equalise),
        "rub end to end with a loop of waste strand, let down, pull again; strands lie side by "
        "side on the posts, not heaped",
        uneven if tightest > 1.05 else "",
        caution=cautions.FIRST_LOAD,
        load=words.plan.loads.equalise,
    )


def _shift(words: _Words) -> Step:
    winding = words.plan.winding
    return _step(
        "shift",
        "Shift the skein round the posts",
        words.written.length(winding.shift),
        f"until tails and colour changes will lie under: {winding.tail_place}",
        f"a tail holds from about {words.written.length(winding.tail_hold.value)} on, surely from "
        f"{words.written.length(winding.tail_hold.value + 2.0 * winding.tail_hold.u)}; leave "
        f"{words.written.length(winding.tail_cut)}; wax the bare strands",
    )


def _stretch(words: _Words, what: str, title: str, dwell: float) -> Step:
    plan = words.plan
    ten = 10.0 * (5.0 / 9.0 if plan.job.paper.units == "in" else 1.0)
    drift = Estimate(abs(plan.load_per_kelvin.value) * ten, plan.load_per_kelvin.u * ten, "N")
    way = "more" if plan.load_per_kelvin.value > 0.0 else "less"
    degrees = "10 degF" if plan.job.paper.units == "in" else "10 K"
    return _step(
        "stretch",
        title,
        f"{words.written.force(plan.loads.stretch)} for {words.written.duration(dwell)}",
        "pull up again as it settles; log the temperature: with the posts locked, "
        f"{degrees} warmer is {words.written.estimate(drift)} {way}",
        f"then let down and rest {words.written.duration(plan.rest)} before the length is judged",
        caution=cautions.STRETCH,
        id=f"stretch-{what}",
        load=plan.loads.stretch,
        dwell=dwell,
    )


def _read(words: _Words, key: str) -> Step:
    stage = words.plan.stage(key)
    lie = "posts" if key == "bare" else "pins"
    return _step(
        "read",
        f"Read the length: {stage.title}",
        words.written.estimate(stage.length),
        f"at {words.written.force(stage.load)}, outside to outside of the "
        f"{words.written.fine(stage.pins[0])} {lie}",
        _buys(words, stage),
        "give the plan what it reads before going on: the turns follow from it",
        caution=cautions.RETENSION,
        done=_taken(words, key),
        id=f"read-{key}",
        stage=key,
        load=stage.load,
    )


def _taken(words: _Words, key: str) -> bool:
    return any(reading.stage == key for reading in words.plan.job.build.readings)


def _buys(words: _Words, stage: StagePlan) -> str:
    if stage.buys < 0.0254 / 500.0:
        return "a check; it adds little to the earlier readings"
    taken = words.written.small(2.0 * stage.buys)
    return f"this reading takes {taken} off the ± of the finished length"


def _loops(words: _Words) -> Step:
    loops = words.plan.loops
    return _step(
        "loops",
        "Serve and close the loops",
        " and ".join(dict.fromkeys(words.written.length(loop.size) for loop in loops)),
        "inside length of the closed loop laid flat",
        *(
            f"{loop.name}: serve {words.written.length(loop.served_length)} with {loop.thread}, "
            f"{words.written.long(Estimate(loop.thread_length, 0.0, 'm'))} of thread"
            if loop.thread
            else f"{loop.name}: bare"
            for loop in loops
        ),
    )


def _serve(words: _Words) -> Step:
    stage = words.plan.stage("marking")
    rows = [
        f"{s.name}: {words.written.length(s.now_start)} to "
        f"{words.written.length(s.now_stop)}, {s.thread}, "
        f"hand {s.hand}, {words.written.long(Estimate(s.thread_length.value, 0.0, 'm'))} of thread"
        for s in words.plan.servings
    ]
    return _step(
        "serve",
        "Mark and serve",
        f"at {words.written.force(stage.load)}",
        f"from the outside of the zero pin ({words.written.fine(stage.pins[0])}), the line reading "
        f"{words.written.estimate(stage.length)}",
        *rows,
        caution=cautions.RETENSION,
        stage="marking",
        load=stage.load,
    )


def _twist(words: _Words, half: bool) -> Step:
    twist = words.plan.twist
    if half:
        share = words.plan.stage("half").turns
        return _step("twist", "Twist part way", f"{words.turns(share)} turns {twist.hand}",
                     "turn one end; count on the marked pin", id="twist-half",
                     turns=share)  # fmt: skip
    return _step(
        "twist",
        "Twist to the full count",
        f"{words.turns(twist.turns)} turns {twist.hand}",
        f"in all; between {math.floor(twist.turns_low)} and {math.ceil(twist.turns_high)} may be "
        "needed",
        f"the next turn shortens it by {words.written.small_estimate(_positive(twist.next_turn))}",
        id="twist-full",
        turns=twist.turns,
    )


def _positive(estimate: Estimate) -> Estimate:
    return Estimate(-estimate.value, estimate.u, estimate.unit)


def _serve_then_twist(words: _Words) -> list[Step]:
    loads = words.plan.loads
    return [
        _stretch(words, "bare", "Stretch the bare skein", loads.stretch_dwell),
        _read(words, "bare"),
        _loops(words),
        _serve(words),
        _twist(words, half=True),
        _settle(words, "Settle the turns that are in", "settle-part"),
        _read(words, "half"),
        _twist(words, half=False),
        _settle(words, "Settle the twist", "settle"),
    ]


def _settle(words: _Words, title: str, id: str) -> Step:
    load = words.plan.loads.settle
    return _step(
        "stretch",
        title,
        words.written.force(load),
        "a minute, let down, and again",
        caution=cautions.STRETCH,
        id=id,
        load=load,
        dwell=60.0,
    )


def _twist_then_serve(words: _Words) -> list[Step]:
    return [
        _read(words, "bare"),
        _loops(words),
        _twist(words, half=True),
        _read(words, "half"),
        _twist(words, half=False),
        _stretch(words, "twisted", "Stretch the twisted line", words.plan.loads.stretch_dwell),
        _read(words, "twisted"),
        _serve(words),
    ]


def _stretch_twist_serve(words: _Words) -> list[Step]:
    return [
        _stretch(words, "bare", "Stretch the bare skein", words.plan.loads.stretch_dwell),
        _read(words, "bare"),
        _loops(words),
        _twist(words, half=True),
        _read(words, "half"),
        _twist(words, half=False),
        _stretch(words, "twisted", "Stretch the twisted line", words.plan.loads.second_dwell),
        _read(words, "twisted"),
        _serve(words),
    ]


def _proof(words: _Words) -> Step:
    plan, stage = words.plan, words.plan.stage("proof")
    return _step(
        "proof",
        "Prove the length",
        words.written.fine(plan.target.length.value + plan.landing.to_come),
        _asked(words),
        f"at {words.written.force(stage.load)} over {words.written.fine(stage.pins[0])} pins, "
        "after 20 s; "
        f"the numbers alone promise {words.written.estimate(stage.length)}",
        _rule(words),
        f"a turn more: {words.written.small_estimate(_positive(plan.twist.next_turn))} shorter; "
        f"half a turn: {words.written.small_estimate(_positive(plan.twist.next_half))}",
        caution=cautions.RETENSION,
        done=plan.landing.proved,
        id="read-proof",
        stage="proof",
        load=stage.load,
    )


def _asked(words: _Words) -> str:
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


def _rule(words: _Words) -> str:
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


def _fit(words: _Words) -> Step:
    bow = words.plan.job.bow
    off, first = cautions.at_the_change(bow.kind, bow.crossbow)
    return _step(
        "tag",
        "Tag, wax and fit",
        f"{words.turns(words.plan.twist.turns)} turns {words.plan.twist.hand}",
        "write length, load, turns and hand on the tag; clip the loops together so that no turn "
        "is lost; tails trimmed, servings push-tested",
        caution=f"{off} {first} {cautions.DEFER}",
    )
