"""Set data: what a set says as plain values and texts, for screens, JSON and paper."""

from __future__ import annotations

from typing import Any

from strandwright.planning.cautions import DEFER
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.sets.result import (
    BenchOrder,
    Check,
    CutList,
    FibreCut,
    Heed,
    PairAnswer,
    PlannedSet,
    Schedule,
    SetChance,
    ThreadCut,
)
from strandwright.planning.sets.words import (
    UNTIL,
    chance_said,
    order_said,
    pair_said,
    shared_said,
    time_said,
    uncounted_said,
    where_said,
)
from strandwright.planning.written import Written, half_turns
from strandwright.workshop.line_set import set_table

Fields = dict[str, Any]


def set_data(found: PlannedSet) -> Fields:
    """Give everything a set says as plain values.

    Parameters
    ----------
    found : PlannedSet
        The set with its plans.

    Returns
    -------
    dict
        JSON-ready: numbers in SI beside the texts of them, in the units of the first line's job.
    """
    to = writing_of(found)
    return {
        "id": found.line_set.id,
        "name": found.line_set.name,
        "set": set_table(found.line_set),
        "bow": bow_name(found),
        "lines": [line_data(plan) for plan in found.plans],
        "unplanned": [{"job": u.job, "said": u.said} for u in found.unplanned],
        "cut": cut_data(found.cut, to),
        "by_hand": [plan.job.id for plan in found.plans if plan.laid is not None],
        "orders": [order_data(order, to) for order in found.orders],
        "fits": [
            {"bench": f.bench, "job": f.job, "fits": f.fits, "said": f.said} for f in found.fits
        ],
        "schedule": schedule_data(found.schedule),
        "checks": [check_data(check) for check in found.checks],
        "pairs": [pair_data(pair, to) for pair in found.pairs],
        "chance": None
        if found.chance is None
        else chance_data(found.chance, to, some_built=bool(found.built)),
        "built": list(found.built),
        "cautions": [heed_data(heed, found) for heed in found.heeds],
        "deferral": DEFER,
    }


def writing_of(found: PlannedSet) -> Written:
    """Give the way a set's quantities are written: that of its first line's job.

    Parameters
    ----------
    found : PlannedSet
        The set.

    Returns
    -------
    Written
        Inches where no line is planned.
    """
    return Written.on(found.plans[0].job.paper) if found.plans else Written("in", 16)


def bow_name(found: PlannedSet) -> str:
    """Give what the bow of a set is called.

    Parameters
    ----------
    found : PlannedSet
        The set.

    Returns
    -------
    str
        Its name and kind, or those of all bows that the jobs name; empty where no line is planned.
    """
    bows = (plan.job.bow for plan in found.plans)
    named = (", ".join(word for word in (bow.name, bow.kind) if word) for bow in bows)
    return "; ".join(dict.fromkeys(named))


def line_data(plan: Plan) -> Fields:
    """Give one line of a set.

    Parameters
    ----------
    plan : Plan
        Its plan.

    Returns
    -------
    dict
        The few numbers that tell it from the others.
    """
    to, twist = Written.on(plan.job.paper), plan.twist
    return {
        "job": plan.job.id,
        "name": plan.job.name,
        "line": plan.job.line.name,
        "kind": plan.job.line.kind,
        "plan": plan.id,
        "bench": plan.job.bench.name,
        "length_m": plan.target.length.value,
        "length_text": to.length(plan.target.length.value),
        "posts_m": plan.winding.posts_outside.value,
        "posts_text": to.estimate(plan.winding.posts_outside),
        "strands": plan.winding.strands,
        "turns": twist.turns,
        "turns_text": f"{half_turns(twist.turns)} {twist.hand}",
        "stretch_text": (
            f"{to.force(plan.loads.stretch)} for {to.duration(plan.loads.stretch_dwell)}"
        ),
        "colours": [{"colour": r.colour, "strands": r.strands} for r in plan.winding.runs],
        "chance_first": plan.landing.chance_first,
        "chance_first_text": to.chance(plan.landing.chance_first),
        "warnings": list(plan.warnings),
    }


def cut_data(cut: CutList, to: Written) -> Fields:
    """Give the cut list.

    Parameters
    ----------
    cut : CutList
        The list.
    to : Written
        How quantities are written.

    Returns
    -------
    dict
        Fibres, threads, parts, and what a full spool is taken to hold.
    """
    return {
        "fibres": [_fibre(fibre, to) for fibre in cut.fibres],
        "threads": [_thread(thread, to) for thread in cut.threads],
        "parts": [
            {
                "name": part.name,
                "count": part.count,
                "mass_kg": part.mass,
                "mass_text": to.mass(part.mass),
                "jobs": list(part.jobs),
            }
            for part in cut.parts
        ],
        "spool_kg": cut.spool_mass,
        "spool_text": to.mass(cut.spool_mass),
        "spool_source": cut.spool_source,
    }


def _fibre(fibre: FibreCut, to: Written) -> Fields:
    return {
        "strand": fibre.strand,
        "lot": fibre.lot,
        "name": fibre.name,
        "colour": fibre.colour,
        "jobs": list(fibre.jobs),
        "length_m": fibre.length.value,
        "length_plus_minus_m": fibre.length.u95,
        "length_text": to.long(fibre.length),
        "mass_kg": fibre.mass.value,
        "mass_plus_minus_kg": fibre.mass.u95,
        "mass_text": to.estimate(fibre.mass),
        "spool": fibre.spool,
        "spool_text": to.share(fibre.spool),
    }


def _thread(thread: ThreadCut, to: Written) -> Fields:
    return {
        "thread": thread.thread,
        "colour": thread.colour,
        "jobs": list(thread.jobs),
        "length_m": thread.length.value,
        "length_plus_minus_m": thread.length.u95,
        "length_text": to.long(thread.length),
        "bobbins": thread.bobbins,
    }


def order_data(order: BenchOrder, to: Written) -> Fields:
    """Give the order of winding on one bench.

    Parameters
    ----------
    order : BenchOrder
        The order.
    to : Written
        How quantities are written.

    Returns
    -------
    dict
        The lines with their posts, and what the order saves, in words.
    """
    return {
        "bench": order.bench,
        "lines": [
            {"job": job, "posts_m": posts, "posts_text": to.fine(posts)}
            for job, posts in zip(order.jobs, order.posts, strict=True)
        ],
        "together": [list(jobs) for jobs in order.together],
        "moves": order.moves,
        "travel_m": order.travel,
        "spool_changes": order.spool_changes,
        "time_s": order.time,
        "saves_s": order.saves,
        "said": order_said(order, to),
        "source": order.source,
    }


def schedule_data(schedule: Schedule) -> Fields:
    """Give the set in time.

    Parameters
    ----------
    schedule : Schedule
        It.

    Returns
    -------
    dict
        Totals, spans and what may be done meanwhile.
    """
    return {
        "total_s": schedule.total.value,
        "total_plus_minus_s": schedule.total.u95,
        "total_text": time_said(schedule.total),
        "one_by_one_s": schedule.one_by_one,
        "one_by_one_text": time_said(Estimate(schedule.one_by_one, 0.0, "s")),
        "hands_s": schedule.hands.value,
        "hands_plus_minus_s": schedule.hands.u95,
        "hands_text": time_said(schedule.hands),
        "spans": [
            {
                "job": s.job,
                "step": s.step,
                "title": s.title,
                "kind": s.kind,
                "bench": s.bench,
                "start_s": s.start,
                "stop_s": s.stop,
            }
            for s in schedule.spans
        ],
        "said": list(schedule.said),
        "until": UNTIL,
        "uncounted": uncounted_said(schedule.uncounted),
        "caution": schedule.caution,
        "source": schedule.source,
    }


def heed_data(heed: Heed, found: PlannedSet) -> Fields:
    """Give one caution.

    Parameters
    ----------
    heed : Heed
        It.
    found : PlannedSet
        The set it is of.

    Returns
    -------
    dict
        Its words, and the steps and lines it belongs to.
    """
    return {
        "said": heed.said,
        "acts": [{"act": act, "jobs": list(jobs)} for act, jobs in heed.steps],
        "where": where_said(heed, len(found.plans) - len(found.built)),
    }


def check_data(check: Check) -> Fields:
    """Give one check.

    Parameters
    ----------
    check : Check
        It.

    Returns
    -------
    dict
        What, verdict, what was found, remedy, lines.
    """
    return {
        "of": check.of,
        "verdict": check.verdict,
        "said": check.said,
        "remedy": check.remedy,
        "jobs": list(check.jobs),
    }


def pair_data(pair: PairAnswer, to: Written) -> Fields:
    """Give one matched pair.

    Parameters
    ----------
    pair : PairAnswer
        It.
    to : Written
        How quantities are written.

    Returns
    -------
    dict
        The comparison and what to do.
    """
    return {
        "one": pair.one,
        "other": pair.other,
        "is_read": pair.is_read,
        "difference_m": pair.difference.value,
        "difference_plus_minus_m": pair.difference.u95,
        "bound_m": pair.bound,
        "chance": pair.chance,
        "turns": pair.turns,
        "longer": pair.longer,
        "said": pair_said(pair, to),
        "checks": [check_data(check) for check in pair.checks],
    }


def chance_data(chance: SetChance, to: Written, *, some_built: bool) -> Fields:
    """Give how surely all lines land.

    Parameters
    ----------
    chance : SetChance
        It.
    to : Written
        How quantities are written.
    some_built : bool
        Whether it is of some of the set's lines only, others being built already.

    Returns
    -------
    dict
        Chances and why they differ from a product.
    """
    return {
        "first": chance.first,
        "first_text": to.chance(chance.first),
        "after": chance.after,
        "after_text": to.chance(chance.after),
        "alone": chance.alone,
        "each": list(chance.each),
        "shared": list(chance.shared),
        "said": chance_said(chance, to, some_built=some_built),
        "shared_said": shared_said(chance, to),
    }
