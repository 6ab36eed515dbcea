"""A plan as plain text: the numbers to act on first, then how sure they are and why."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.cli.detail_text import detail_lines
from strandwright.cli.layout import columns, heading, paragraph, rows
from strandwright.planning.baseline import baseline
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Fit, Plan, ServingPlan, StagePlan, TwistPlan
from strandwright.planning.shop.knowledge import shop_said
from strandwright.planning.steps import TOO_COARSE
from strandwright.planning.worth.words import cost_said, when_said
from strandwright.planning.written import Written, half_turns

#: Rows of a budget that are worth a line.
_FEWEST_SHARE = 0.01
_MOST_ROWS = 8
#: A reading that takes less off the standard uncertainty is a check only [m]
_LITTLE = 2.5e-5
#: Letters of a source that fit beside the numbers; the JSON holds it whole.
_SOURCE = 32


def plan_lines(plan: Plan) -> list[str]:
    """Write a whole plan."""
    to = Written.on(plan.job.paper)
    return [
        *_top(plan, to),
        *_settle_first(plan),
        *_learned(plan, to),
        *(_winding(plan, to) if plan.laid is None else _cutting(plan, to)),
        *_stages(plan, to),
        *_twist(plan.twist, to),
        *_servings(plan, to),
        *_landing(plan, to),
        *_strength(plan, to),
        *_fits(plan, to),
        *detail_lines(plan.details),
        *_cautions(plan),
    ]


def _top(plan: Plan, to: Written) -> Iterator[str]:
    job, target = plan.job, plan.target
    bow = f"{job.bow.name}, {job.bow.kind}" if job.bow.name else job.bow.kind
    yield f"{job.name}   [{job.id}]"
    yield from rows(
        [
            ("bow", bow),
            ("line", f"{job.line.name}: {job.makeup.strands} strands {job.makeup.strand}"),
            ("order", str(plan.route.order)),
            (
                "finished",
                f"{to.estimate(target.length)} at {to.force(target.measuring_load)} over "
                f"{to.length(target.pin_diameter)} pins, {target.source}",
            ),
            ("counts as landed", f"within {to.length(target.tolerance)} either way"),
            *_baseline(plan),
            ("plan", plan.id),
        ]
    )
    for note in target.notes:
        yield from paragraph(note, mark="-")


def _baseline(plan: Plan) -> list[tuple[str, str]]:
    """Say what was measured on the bow before its line came off, three to a line."""
    told = [f"{name} {value}" for name, value in baseline(plan.job)]
    lines = ["; ".join(told[i : i + 3]) for i in range(0, len(told), 3)]
    has_wheels = plan.job.bow.kind not in ("recurve", "longbow")
    when = "before any press" if has_wheels else "before it is unstrung"
    return [(when if i == 0 else "", line) for i, line in enumerate(lines)]


def _settle_first(plan: Plan) -> Iterator[str]:
    if plan.warnings:
        yield from heading("Settle first")
        for warning in plan.warnings:
            yield from paragraph(warning, mark="!")


def _learned(plan: Plan, to: Written) -> Iterator[str]:
    if not plan.learned:
        return
    yield from heading("What the readings changed")
    for reading in plan.learned:
        apart = "further off than expected" if reading.surprising else "as expected"
        yield from paragraph(
            f"{reading.stage}: read {reading.text} at {to.force(reading.load)} with "
            f"{half_turns(reading.turns)} turns in, expected {to.estimate(reading.expected)}: "
            f"{apart}",
            mark="-",
        )
        for sentence in reading.sentences:
            yield from paragraph(sentence, indent="    ")


def _cutting(plan: Plan, to: Written) -> Iterator[str]:
    """Write what stands for the winding of a line that is laid in; more is among its details."""
    winding = plan.winding
    yield from heading("Cut and lay in")
    yield from rows(
        [
            ("set the pegs", f"{to.estimate(winding.posts_outside)} outside to outside"),
            ("the hand pulls", f"{to.estimate(winding.load)} while the second loop is laid"),
            ("loops begin", f"{to.length(winding.tail_cut)} from the longest strand's end"),
        ]
    )
    yield ""
    yield from columns(
        ("bundle", "strands", "strand in all", "spool loses"),
        [
            (
                run.name,
                f"{run.strands}",
                to.long(Estimate(run.thread_length, 0.0, "m")),
                to.estimate(run.mass),
            )
            for run in winding.runs
        ],
    )
    if winding.weighing:
        yield from paragraph(winding.weighing)


def _winding(plan: Plan, to: Written) -> Iterator[str]:
    winding = plan.winding
    yield from heading("Wind")
    slack = f"; the first {winding.slack_passes} hang slack until it is evened out"
    yield from rows(
        [
            ("set the posts", f"{to.estimate(winding.posts_outside)} outside to outside"),
            ("", f"{to.estimate(winding.posts_centres)} between centres"),
            (
                "count",
                f"{winding.passes} passes = {_plain(winding.rounds)} rounds = "
                f"{_plain(winding.strands)} strands",
            ),
            ("drag", f"{to.force(winding.drag)} on the strand"),
            ("once wound", f"{to.estimate(winding.after_winding)} outside to outside"),
            (
                "it pulls",
                f"{to.estimate(winding.load)} on the posts"
                + (slack if winding.slack_passes else ""),
            ),
            (
                "tails",
                f"leave {to.length(winding.tail_cut)} under {winding.tail_place}; "
                f"shift the skein {to.length(winding.shift)}",
            ),
        ]
    )
    yield ""
    yield from columns(
        ("colour", "strands", "rounds", "from", "to", "thread", "spool loses"),
        [
            (
                run.name,
                f"{run.strands}",
                _plain(run.rounds),
                run.starts_at,
                run.ends_at,
                to.long(Estimate(run.thread_length, 0.0, "m")),
                to.estimate(run.mass),
            )
            for run in winding.runs
        ],
    )
    if winding.weighing:
        yield from paragraph(winding.weighing)


def _stages(plan: Plan, to: Written) -> Iterator[str]:
    yield from heading("Read the tape at")
    yield from columns(
        ("stage", "load", "pins", "turns", "expect", "to read takes off"),
        [_stage(stage, to) for stage in plan.stages],
    )
    yield from paragraph(f"Rest {to.duration(plan.rest)} between the last pull and a reading.")


def _stage(stage: StagePlan, to: Written) -> tuple[str, ...]:
    zero, far = (to.length(pin) for pin in stage.pins)
    return (
        f"{stage.key}: {stage.title}",
        to.force(stage.load),
        zero if zero == far else f"{zero}, {far}",
        half_turns(stage.turns),
        to.estimate(stage.length),
        _bought(stage, to),
    )


def _bought(stage: StagePlan, to: Written) -> str:
    """Say what a reading takes off the finished length's half-range."""
    if not stage.reading:
        return "not read"
    return f"\u00b1 {to.small(2.0 * stage.buys)}" if stage.buys > _LITTLE else "little"


def _twist(twist: TwistPlan, to: Written) -> Iterator[str]:
    yield from heading("Twist")
    low, high = half_turns(twist.turns_low), half_turns(twist.turns_high)
    yield from rows(
        [
            (
                "put in",
                f"{half_turns(twist.turns)} turns, {twist.hand} "
                f"({to.rate(twist.rate)}); it may take {low} to {high}",
            ),
            ("takes up", to.small_estimate(twist.take_up)),
            ("one turn more", to.small_estimate(twist.next_turn)),
            ("half a turn more", to.small_estimate(twist.next_half)),
            ("one turn less", to.small_estimate(twist.less_turn)),
            (
                "reach",
                f"{to.length(twist.longest)} with none, {to.length(twist.shortest)} with "
                f"{half_turns(twist.most_turns)}, the most advised",
            ),
            ("torque to hold", to.estimate(twist.torque)),
            ("slack inside", f"{twist.slack_strands} strands at the measuring load"),
        ]
    )


def _servings(plan: Plan, to: Written) -> Iterator[str]:
    if plan.servings:
        yield from heading("Serve: mark now, finished at")
        yield from columns(
            ("serving", "start now", "stop now", "start finished", "stop finished", "by twist"),
            [_edges(serving, to) for serving in plan.servings],
        )
        yield ""
        yield from columns(
            ("serving", "thread", "hand", "wraps", "thread needed", "bobbins", "outside"),
            [_thread(serving, to) for serving in plan.servings],
        )
        for serving in plan.servings:
            for warning in serving.warnings:
                yield from paragraph(f"{serving.name}: {warning}", mark="!")
    if plan.marks:
        yield ""
        yield from columns(
            ("mark", "now", "finished"),
            [(m.name, to.length(m.now), to.estimate(m.position)) for m in plan.marks],
        )


def _edges(serving: ServingPlan, to: Written) -> tuple[str, ...]:
    return (
        serving.name,
        to.length(serving.now_start),
        to.length(serving.now_stop),
        to.estimate(serving.start),
        to.estimate(serving.stop),
        serving.locked_by_twist,
    )


def _thread(serving: ServingPlan, to: Written) -> tuple[str, ...]:
    return (
        serving.name,
        serving.thread,
        serving.hand,
        to.estimate(serving.wraps),
        to.long(serving.thread_length),
        f"{serving.bobbins}",
        to.small_estimate(serving.outside),
    )


def _landing(plan: Plan, to: Written) -> Iterator[str]:
    landing, within = plan.landing, to.length(plan.target.tolerance)
    proof = landing.proof
    yield from heading("How surely it lands")
    accept = (
        f"accept up to {to.small(proof.acceptance_limit)} off, reject beyond "
        f"{to.small(proof.rejection_limit)}"
        if proof.acceptance_limit >= TOO_COARSE * proof.tolerance
        else "too coarse to prove this tolerance"
    )
    yield from rows(
        [
            (
                "with the readings",
                f"{to.chance(landing.chance)} within {within}, finished length "
                f"\u00b1 {to.small(2.0 * landing.guided_u)}",
            ),
            *(
                [("at the first proof", f"{to.chance(landing.chance_first)} within {within}, "
                                        "before any correction there")]
                if not landing.proved
                else []
            ),
            (
                "by numbers alone",
                f"{to.chance(landing.chance_blind)} within {within}; {to.estimate(landing.blind)}",
            ),
            *(
                [
                    (
                        "as the original",
                        f"{to.chance(landing.chance_of_original)} within {within} of what the "
                        f"original was; that is known to \u00b1 "
                        f"{to.half_range(plan.target.length.u95)}",
                    )
                ]
                if plan.target.length.u > 0.0
                else []
            ),
            ("proof reading", f"\u00b1 {to.small(2.0 * landing.proof_u)}: {accept}"),
            *([("the proof", _verdict(plan, to))] if landing.proved else []),
        ]
    )
    yield from _budget(plan, to)
    if shop_said(plan.job):
        yield ""
        yield shop_said(plan.job)
    if landing.heard:
        yield ""
        yield f"{landing.heard}."
    yield from _worth(plan, to)


def _worth(plan: Plan, to: Written) -> Iterator[str]:
    """Write what would make it surer, and what each reading adds."""
    landing = plan.landing
    if landing.every_remedy:
        yield ""
        yield from columns(
            ("what would help", "first proof", "corrected", "\u00b1", "costs"),
            [
                (
                    remedy.name,
                    to.chance(remedy.chance_first),
                    to.chance(remedy.chance),
                    to.small(2.0 * remedy.u),
                    cost_said(remedy.time, remedy.once),
                )
                for remedy in landing.every_remedy
            ],
        )
    told = [each for each in landing.readings if each.asked or each.when != "not at all"]
    if told:
        yield ""
        yield from columns(
            ("what a reading adds", "first proof", "corrected", "when"),
            [
                (
                    worth.title.removeprefix("read the length, "),
                    _added(worth.gain_first),
                    _added(worth.gain),
                    when_said(worth),
                )
                for worth in told
            ],
        )


def _added(gain: float) -> str:
    """Write what is added to a chance, in per cent."""
    return "under 1 %" if gain < 0.01 else f"{100.0 * gain:.0f} %"


def _verdict(plan: Plan, to: Written) -> str:
    """Say what the proof reading means, and what to do about it."""
    proof = plan.landing.proof
    way = "long" if proof.error > 0.0 else "short"
    done = plan.job.build.turns
    rest = ""
    if done is not None and abs(plan.twist.turns - done) >= 0.5:
        more = plan.twist.turns - done
        act = "put in" if more > 0.0 else "take out"
        rest = f" To the middle: {act} {half_turns(abs(more))} turns."
    return f"{to.small(abs(proof.error))} {way}. {proof.sentence()}{rest}"


def _budget(plan: Plan, to: Written) -> Iterator[str]:
    worth = [row for row in plan.landing.budget if row.share >= _FEWEST_SHARE][:_MOST_ROWS]
    if worth:
        yield ""
        yield from columns(
            ("what makes the \u00b1 by numbers alone", "share", "\u00b1", "known from"),
            [
                (
                    row.label or row.parameter,
                    to.share(row.share),
                    to.small(2.0 * row.standard_uncertainty),
                    _clipped(row.source),
                )
                for row in worth
            ],
        )


def _strength(plan: Plan, to: Written) -> Iterator[str]:
    strength = plan.strength
    yield from heading("Strength and mass")
    yield from rows(
        [
            (
                "breaks at",
                f"{to.estimate(strength.derated)} as built; "
                f"{to.force(strength.strands)} for the strands alone",
            ),
            (
                "kept",
                f"twist {to.share_estimate(strength.twist)}, unequal strands "
                f"{to.share_estimate(strength.bundle)}, "
                f"{strength.weakest} {to.share_estimate(strength.ends)}",
            ),
            (
                "mass",
                to.estimate(plan.mass)
                + (
                    ""
                    if plan.arrow_mass is None
                    else "; costs an arrow's speed as "
                    f"{to.estimate(plan.arrow_mass)} on the arrow would"
                ),
            ),
        ]
    )
    yield ""
    yield from columns(
        ("load", "size", "of the break", "verdict", "known from"),
        [
            (
                check.name,
                to.estimate(check.load),
                to.share_estimate(check.share),
                check.verdict,
                _clipped(check.source),
            )
            for check in strength.checks
        ],
    )


def _fits(plan: Plan, to: Written) -> Iterator[str]:
    yield from heading("Fit")
    yield from rows([("bare line", f"{to.small_estimate(plan.bare_diameter)} across")])
    for fit in plan.fits:
        yield from paragraph(
            f"{fit.what}, {_size(fit, to)}, against {fit.against}, "
            f"{to.size(fit.allowed)}: {fit.verdict}. {fit.sentence}",
            mark="!" if fit.verdict in ("tight", "loose") else "-",
        )


def _size(fit: Fit, to: Written) -> str:
    return to.size(fit.size.value) if fit.size.u == 0.0 else to.small_estimate(fit.size)


def _cautions(plan: Plan) -> Iterator[str]:
    where: dict[str, list[str]] = {}
    for step in plan.steps:
        if step.caution:
            where.setdefault(step.caution, []).append(f"{step.number} {step.title.lower()}")
    if where:
        yield from heading("Take care")
        for caution, steps in where.items():
            yield from paragraph(caution, mark="!")
            yield from paragraph(f"At step {'; '.join(steps)}.", indent="    ")


def _plain(number: float) -> str:
    return half_turns(number)


def _clipped(text: str) -> str:
    return text if len(text) <= _SOURCE else f"{text[: _SOURCE - 3].rstrip()}..."
