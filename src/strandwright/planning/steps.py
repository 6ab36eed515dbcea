"""The steps of a plan, as the technician does them: one act and one number each."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from strandwright.line.route import Order
from strandwright.planning import cautions
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan, StagePlan, Step
from strandwright.planning.written import Written
from strandwright.units import INCH, format_length, format_length_decimal


@dataclass(frozen=True)
class _Words:
    """A plan, and its numbers as people read them."""

    plan: Plan

    @cached_property
    def written(self) -> Written:
        """Quantities in the job's own units."""
        return Written.on(self.plan.job.paper)

    def fine(self, metres: float) -> str:
        """Write a length to a thirty-second at least."""
        paper = self.plan.job.paper
        return format_length(metres, system=paper.units, fraction=max(paper.fraction, 32))

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
    return tuple(
        Step(i, d.key, d.title, d.headline, d.lines, d.caution) for i, d in enumerate(drafts, 1)
    )


def _step(key: str, title: str, headline: str, *lines: str, caution: str = "") -> Step:
    return Step(0, key, title, headline, tuple(line for line in lines if line), caution)


def _posts(words: _Words) -> Step:
    winding = words.plan.winding
    bench = words.plan.job.bench
    return _step(
        "posts",
        "Set the posts",
        words.written.length(winding.posts_outside.value),
        f"outside to outside, empty; between centres {words.fine(winding.posts_centres)}",
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
                f"{rounds} rounds = {run.strands} strands",
                f"{run.strands} passes post to post; {tie} at the {run.starts_at}, ends at the "
                f"{run.ends_at}; tails {words.written.length(winding.tail_cut)}",
                f"drag about {words.written.force(winding.drag)} on the strand, the same all the way",
                f"spool loses {words.written.estimate(run.mass)}"
                + ("" if run.scale_finds_missing else " (too wide to find one missing strand)"),
            )
        )
    last = steps[-1]
    check = f"then the posts should stand {words.written.estimate(winding.after_winding)} outside to outside"
    slack = winding.slack_passes
    hang = f"the first {slack} strands will hang slack until evened out" if slack else ""
    steps[-1] = _step(last.key, last.title, last.headline, *last.lines, check, hang)
    return steps


def _even(words: _Words) -> Step:
    bare = words.plan.route.stage("bare")
    early = words.plan.route.order is Order.TWIST_THEN_SERVE
    load = bare.highest_load if early else min(bare.highest_load, 2.0 * bare.load)
    return _step(
        "even",
        "Even out the strands",
        words.written.force(load),
        "rub end to end with a loop of waste strand, let down, pull again; strands lie side by "
        "side on the posts, not heaped",
        caution=cautions.FIRST_LOAD,
    )


def _shift(words: _Words) -> Step:
    winding = words.plan.winding
    return _step(
        "shift",
        "Shift the skein round the posts",
        words.written.length(winding.shift),
        f"until tails and colour changes will lie under the serving '{winding.tail_place}'",
        f"a tail holds from {words.written.estimate(winding.tail_hold)} on; leave "
        f"{words.written.length(winding.tail_cut)}; wax the bare strands",
    )


def _stretch(words: _Words, title: str) -> Step:
    stage = words.plan.route.stage("proof")
    return _step(
        "stretch",
        title,
        f"{words.written.force(stage.creep_load)} for {words.written.duration(stage.creep_dwell)}",
        "pull up again as it settles; log the temperature",
        f"then let down and rest {words.written.duration(words.plan.rest)} before the length is judged",
        caution=cautions.STRETCH,
    )


def _read(words: _Words, key: str) -> Step:
    stage = words.plan.stage(key)
    return _step(
        "read",
        f"Read the length: {stage.title}",
        f"{words.fine(stage.length.value)}",
        f"at {words.written.force(stage.load)}, outside to outside of the {words.fine(stage.pins[0])} "
        f"posts; expect {words.written.estimate(stage.length)}",
        _buys(words, stage),
        "if it reads otherwise, plan again with the reading before going on",
        caution=cautions.RETENSION,
    )


def _buys(words: _Words, stage: StagePlan) -> str:
    if stage.buys < 0.0254 / 500.0:
        return "a check; it adds little to the earlier readings"
    taken = words.written.small(2.0 * stage.buys)
    return f"this reading takes {taken} off the ± of the finished length"


def _loops(words: _Words) -> Step:
    line = words.plan.job.line
    sizes = " and ".join(
        f"{end.name} {words.written.length(end.size.si)}" for end in (line.zero_end, line.far_end)
    )
    return _step(
        "loops",
        "Serve and close the loops",
        sizes,
        "inside length of the closed loop laid flat",
        *(
            f"{end.name}: thread {end.thread}"
            for end in (line.zero_end, line.far_end)
            if end.thread is not None
        ),
    )


def _serve(words: _Words) -> Step:
    stage = words.plan.stage("marking")
    rows = [
        f"{s.name}: {words.written.length(s.now_start)} to {words.written.length(s.now_stop)}, {s.thread}, "
        f"hand {s.hand}, {words.written.long(Estimate(s.thread_length.value, 0.0, 'm'))} of thread"
        for s in words.plan.servings
    ]
    return _step(
        "serve",
        "Mark and serve",
        f"at {words.written.force(stage.load)}",
        f"from the outside of the zero pin ({words.fine(stage.pins[0])}), the line reading "
        f"{words.written.estimate(stage.length)}",
        *rows,
        caution=cautions.RETENSION,
    )


def _twist(words: _Words, half: bool) -> Step:
    twist = words.plan.twist
    if half:
        share = words.plan.stage("half").turns
        return _step("twist", "Twist half way", f"{words.turns(share)} turns {twist.hand}",
                     "turn one end; count on the marked pin")  # fmt: skip
    return _step(
        "twist",
        "Twist to the full count",
        f"{words.turns(twist.turns)} turns {twist.hand} in all",
        f"between {twist.turns_low:.0f} and {twist.turns_high:.0f} may be needed",
        f"the next turn shortens it by {words.written.small_estimate(_positive(twist.next_turn))}",
    )


def _positive(estimate: Estimate) -> Estimate:
    return Estimate(-estimate.value, estimate.u, estimate.unit)


def _serve_then_twist(words: _Words) -> list[Step]:
    settle = words.plan.route.stage("proof").highest_twisted
    return [
        _stretch(words, "Stretch the bare skein"),
        _read(words, "bare"),
        _loops(words),
        _serve(words),
        _twist(words, half=True),
        _read(words, "half"),
        _twist(words, half=False),
        _step(
            "stretch",
            "Settle the twist",
            words.written.force(settle),
            "a minute, let down, and again",
            caution=cautions.STRETCH,
        ),
    ]


def _twist_then_serve(words: _Words) -> list[Step]:
    return [
        _read(words, "bare"),
        _loops(words),
        _twist(words, half=True),
        _read(words, "half"),
        _twist(words, half=False),
        _stretch(words, "Stretch the twisted line"),
        _read(words, "twisted"),
        _serve(words),
    ]


def _stretch_twist_serve(words: _Words) -> list[Step]:
    return [
        _stretch(words, "Stretch the bare skein"),
        _read(words, "bare"),
        _loops(words),
        _twist(words, half=True),
        _read(words, "half"),
        _twist(words, half=False),
        _step(
            "stretch",
            "Stretch the twisted line",
            words.written.force(words.plan.route.stage("proof").highest_twisted),
            f"a quarter of an hour, then rest {words.written.duration(words.plan.rest)}",
            caution=cautions.STRETCH,
        ),
        _read(words, "twisted"),
        _serve(words),
    ]


def _proof(words: _Words) -> Step:
    plan, stage = words.plan, words.plan.stage("proof")
    proof = plan.landing.proof
    rule = (
        f"accept up to {words.no_more_than(proof.acceptance_limit)} off, correct beyond; the "
        f"reading is sure to ± {words.written.small(2.0 * plan.landing.proof_u)}"
        if proof.can_accept
        else proof.sentence()
    )
    return _step(
        "proof",
        "Prove the length",
        words.fine(plan.target.length.value),
        f"at {words.written.force(stage.load)} over {words.fine(stage.pins[0])} pins, after 20 s; the "
        f"numbers alone promise {words.written.estimate(stage.length)}",
        rule,
        f"a turn more: {words.written.small_estimate(_positive(plan.twist.next_turn))} shorter; "
        f"half a turn: {words.written.small_estimate(_positive(plan.twist.next_half))}",
        caution=cautions.RETENSION,
    )


def _fit(words: _Words) -> Step:
    return _step(
        "tag",
        "Tag, wax and fit",
        f"{words.turns(words.plan.twist.turns)} turns {words.plan.twist.hand}",
        "write length, load, turns and hand on the tag; clip the loops together so that no turn "
        "is lost; tails trimmed, servings push-tested",
        f"{cautions.PRESS} {cautions.FIRST_DRAW}",
        cautions.DEFER,
    )
