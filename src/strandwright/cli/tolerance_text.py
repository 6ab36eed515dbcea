"""A tolerance study on the terminal, and as data."""

from __future__ import annotations

import math
from typing import Any

from strandwright.cli.layout import columns, heading, paragraph, rows
from strandwright.planning.bow.words import LABELS, change_text
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.tolerance.of_job import JobStudy
from strandwright.planning.tolerance.result import OnBow, Spread, StudyResult, Way
from strandwright.planning.written import Written

_ALONE, _READ = "by numbers alone", "with the readings"


def study_lines(whole: JobStudy, found: StudyResult, seed: int) -> list[str]:
    """Say what a study found."""
    plan, to = whole.plan, Written.on(whole.plan.job.paper)
    lines = [
        f"Tolerance study of {plan.job.line.name}   [{plan.job.id}]",
        *rows(
            [
                ("builds", f"{found.builds} drawn, seed {seed}; the same give the same numbers"),
                ("asked for", f"{to.estimate(plan.target.length)}, "
                 f"landed within {to.length(plan.target.tolerance)} either way"),
            ]
        ),
    ]  # fmt: skip
    if found.failed:
        said = f"{found.failed} builds made no line at all, so far out is what was drawn of them"
        lines += paragraph(f"{said}; they count as not landed.", mark="!")
    lines += heading("Finished length") + _length(plan, found, to)
    lines += heading("Turns") + _turns(plan, found)
    lines += heading("Proof reading, after the last correction") + _proof(found)
    lines += heading("On the bow") + _bow(whole, found, to)
    return lines


def _length(plan: Plan, found: StudyResult, to: Written) -> list[str]:
    landing, ways = plan.landing, (found.blind, found.guided)
    within = to.length(plan.target.tolerance)

    def both(name: str, tell: Any) -> tuple[str, ...]:
        return (name, *(tell(way) for way in ways))

    table = [
        both(f"within {within}", lambda way: _percent(way.within)),
        ("the plan says", to.chance(landing.chance_blind), to.chance(landing.chance)),
        both("mean", lambda way: _off(way.off.mean, to)),
        both("standard deviation", lambda way: to.small(way.off.deviation)),
        ("the plan says", to.small(landing.blind.u), to.small(landing.guided_u)),
        both("95 % of builds", lambda way: _range(way, (0.025, 0.975), to)),
        both("99 % of builds", lambda way: _range(way, (0.005, 0.995), to)),
    ]
    if plan.target.length.u > 0.0:
        name = f"within {within} of what the original is"
        table.insert(2, both(name, lambda way: _percent(way.of_original)))
    return columns(("", _ALONE, _READ), table)


def _percent(share: Estimate) -> str:
    """Write a share with its +- in per cent, to a hundredth at the finest."""
    value, half = 100.0 * share.value, 100.0 * share.u95
    digits = 0 if half >= 3.0 else 1 if half >= 0.3 else 2
    up = math.ceil(round(half * 10.0**digits, 6)) / 10.0**digits
    return f"{value:.{digits}f} \u00b1 {up:.{digits}f} %"


def _range(way: Way, shares: tuple[float, float], to: Written) -> str:
    low, high = (_off(way.off.at(share), to) for share in shares)
    return f"{low} to {high}"


def _off(metres: float, to: Written) -> str:
    text = to.small(abs(metres))
    if not any(digit in text for digit in "123456789"):
        return text
    return f"{'−' if metres < 0.0 else '+'}{text}"


def _turns(plan: Plan, found: StudyResult) -> list[str]:
    turns = found.turns
    low, middle, high = (_half(turns.at(share)) for share in (0.025, 0.5, 0.975))
    pairs = [
        ("95 % of builds", f"{low:g} to {high:g}, median {middle:g}; "
         f"planned {plan.twist.turns:g}"),
        ("cannot be brought to length", f"{_percent(found.short)} too short without "
         f"any turn, {_percent(found.long)} too long with all that go in"),
        ("the others, within", _percent(found.reached_within)),
        ("more than are advised", f"{_percent(found.over_twisted)} take over "
         f"{plan.twist.most_turns:g} turns"),
    ]  # fmt: skip
    return rows(pairs)


def _half(turns: float) -> float:
    return round(2.0 * turns) / 2.0


def _proof(found: StudyResult) -> list[str]:
    body = [(proof.verdict, _percent(proof.within), _percent(proof.out)) for proof in found.proofs]
    return columns(("share of all builds", "within", "out of tolerance"), body)


def _bow(whole: JobStudy, found: StudyResult, to: Written) -> list[str]:
    if not found.on_bow or found.all_blind is None or found.all_guided is None:
        return paragraph(f"The bow is left out: {whole.no_bow}")
    body = [
        (
            LABELS[each.figure.name],
            _allowed(each, to),
            _percent(each.blind),
            _percent(each.guided),
            _change(each, to),
        )
        for each in found.on_bow
    ]
    alone, read = (_percent(s) for s in (found.all_blind, found.all_guided))
    body.append(("all of them", "", alone, read, ""))
    head = ("", "tolerance", _ALONE, _READ, "95 % of changes, with the readings")
    note = (
        f"Changes by the length of the {found.line} alone, every other line as it was, over the "
        "bows that agree with what is known. Each is taken in proportion to the length: near "
        "enough for what the readings leave, rough where a cable is tenths of an inch off and "
        "one stop comes first. A tolerance that the job does not state is practice."
    )
    return [*columns(head, body), "", *paragraph(note)]


def _allowed(each: OnBow, to: Written) -> str:
    """Write what is allowed of a figure, without the sign of a change."""
    text = change_text(each.figure.name, each.figure.tolerance, 0.0, to)
    return _plain(text).removesuffix(" right") + (", asked for" if each.figure.stated else "")


def _plain(change: str) -> str:
    """Take sign and +- from the text of a change that is exact."""
    value, _, rest = change.removeprefix("+").partition(" ± ")
    unit = rest.lstrip("0123456789.")
    return f"{value}{unit}"


def _change(each: OnBow, to: Written) -> str:
    spread = each.guided_change
    low, high = (
        change_text(each.figure.name, spread.at(share), 0.0, to) for share in (0.025, 0.975)
    )
    if low == high == "none":
        return low
    return " to ".join(_signed(text) for text in (low, high))


def _signed(change: str) -> str:
    plain = _plain(change)
    return f"+{plain}" if change.startswith("+") else plain


def study_data(whole: JobStudy, found: StudyResult, seed: int) -> dict[str, Any]:
    """Give what a study found as data, in SI with the texts beside."""
    plan = whole.plan
    return {
        "job": plan.job.id,
        "plan": plan.id,
        "builds": found.builds,
        "seed": seed,
        "failed": found.failed,
        "wanted_m": plan.target.length.value,
        "tolerance_m": plan.target.tolerance,
        "blind": _way(found.blind, plan.landing.chance_blind, plan.landing.blind.u),
        "guided": _way(found.guided, plan.landing.chance, plan.landing.guided_u),
        "reached": {
            **_share("within", found.reached_within),
            **_spread(found.reached, "m"),
        },
        **_share("too_short", found.short),
        **_share("too_long", found.long),
        **_share("over_advised_turns", found.over_twisted),
        "advised_turns": plan.twist.most_turns,
        "turns": _spread(found.turns, "turn"),
        "proof": {
            proof.verdict: {
                **_share("within", proof.within),
                **_share("out", proof.out),
            }
            for proof in found.proofs
        },
        "bow": _bow_data(found),
        "no_bow": whole.no_bow or None,
    }


def _bow_data(found: StudyResult) -> dict[str, Any] | None:
    if found.all_blind is None or found.all_guided is None:
        return None
    return {
        "line": found.line,
        **_share("blind", found.all_blind),
        **_share("guided", found.all_guided),
        "figures": {each.figure.name: _figure(each) for each in found.on_bow},
    }


def _figure(each: OnBow) -> dict[str, Any]:
    unit = {"m": "m", "N": "n", "rad": "rad"}[each.figure.unit]
    return {
        f"tolerance_{unit}": each.figure.tolerance,
        "stated": each.figure.stated,
        **_share("blind", each.blind),
        **_share("guided", each.guided),
        "blind_change": _spread(each.blind_change, unit),
        "guided_change": _spread(each.guided_change, unit),
    }


def _way(way: Way, chance: float, u: float) -> dict[str, Any]:
    return {
        **_share("within", way.within),
        "plan_within_share": chance,
        **_share("of_original", way.of_original),
        "plan_standard_deviation_m": u,
        **_spread(way.off, "m"),
    }


def _share(name: str, share: Estimate) -> dict[str, Any]:
    return {
        f"{name}_share": share.value,
        f"{name}_share_plus_minus": share.u95,
        f"{name}_share_text": _percent(share),
    }


def _spread(spread: Spread, unit: str) -> dict[str, Any]:
    """Give mean, standard deviation and quantiles; null where nothing was counted."""

    def number(value: float) -> float | None:
        return value if value == value else None

    return {
        f"mean_{unit}": number(spread.mean),
        f"standard_deviation_{unit}": number(spread.deviation),
        f"quantiles_{unit}": {f"{p:g}": number(value) for p, value in spread.quantiles},
    }
