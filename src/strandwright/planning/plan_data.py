"""Plan data: a plan as plain dictionaries, for JSON and for other programs.

A field that is a quantity stands three times: in SI with its unit in the name
(``posts_outside_m``), its 95 % half-range (``posts_outside_plus_minus_m``) and as people read it
in the job's units (``posts_outside_text``). Names stay as they are while ``format`` is 1; new
ones may be added.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from strandwright import __version__
from strandwright.numerics.budget import Contribution
from strandwright.planning.baseline import baseline
from strandwright.planning.details.data import details_data, peeps_data
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.data import laid_data
from strandwright.planning.result import (
    Learned,
    Plan,
    ReadingWorth,
    Remedy,
    ServingPlan,
    StagePlan,
    Strength,
    Target,
    TwistPlan,
    Winding,
)
from strandwright.planning.shop.knowledge import shop_said
from strandwright.planning.worth.words import chances_said, cost_said, remedy_said, when_said
from strandwright.planning.written import Written
from strandwright.planning.yoke.data import yoke_data

#: Version of the field names.
FORMAT = 1

Fields = dict[str, Any]

_SUFFIXES = {"m": "m", "N": "n", "kg": "kg", "turn": "turns", "1": "", "N m": "n_m"}


def plan_data(plan: Plan, *, anew: bool = True) -> Fields:
    """Give a plan as dictionaries, lists, texts, numbers, true and false.

    Parameters
    ----------
    plan : Plan
        The plan.
    anew : bool
        Whether remedies are told that need a build predicted anew; a carried plan never has them.

    Returns
    -------
    dict
        Ready for ``json.dumps``; the same plan gives the same.
    """
    to = _Fields(Written.on(plan.job.paper))
    return {
        "format": FORMAT,
        "program": f"strandwright {__version__}",
        "plan": plan.id,
        "carried": plan.carried,
        "job": {"id": plan.job.id, "name": plan.job.name, "customer": plan.job.customer},
        "line": _line(plan),
        "units": plan.job.paper.units,
        "baseline": dict(baseline(plan.job)),
        "target": _target(plan.target, to),
        "order": str(plan.route.order),
        "winding": _winding(plan.winding, to),
        "stages": [_stage(stage, to) for stage in plan.stages],
        "servings": [_serving(serving, to) for serving in plan.servings],
        "loops": [
            {
                "name": loop.name,
                **to.length("size", loop.size),
                **to.length("serve", loop.served_length),
                "thread": loop.thread,
                "wraps": loop.wraps,
                **to.long("thread_length", Estimate(loop.thread_length, 0.0, "m")),
            }
            for loop in plan.loops
        ],
        "marks": [
            {"name": m.name, **to.length("now", m.now), **to.estimate("finished", m.position)}
            for m in plan.marks
        ],
        "throats": {
            **to.length("zero", plan.throats[0]),
            **to.length("far", plan.throats[1]),
        },
        "twist": _twist(plan.twist, to),
        "bare": to.small("diameter", plan.bare_diameter),
        "strength": _strength(plan.strength, to),
        "fits": [
            {
                "what": fit.what,
                "against": fit.against,
                **to.small("size", fit.size),
                **to.small("allowed", Estimate(fit.allowed, 0.0, "m")),
                "verdict": fit.verdict,
                "sentence": fit.sentence,
            }
            for fit in plan.fits
        ],
        "mass": {
            **to.estimate("line", plan.mass),
            **({} if plan.arrow_mass is None else to.estimate("as_arrow", plan.arrow_mass)),
        },
        "landing": _landing(plan, shop_said(plan.job), anew, to),
        "rest": {
            **to.duration("before_proof", plan.rest),
            "load_per_kelvin_n_per_k": plan.load_per_kelvin.value,
        },
        "yoke": yoke_data(plan),
        "laid": laid_data(plan),
        "peeps": peeps_data(plan),
        "details": details_data(plan),
        "steps": [
            {
                "number": step.number,
                "key": step.key,
                "title": step.title,
                "headline": step.headline,
                "lines": list(step.lines),
                "caution": step.caution,
                "done": step.done,
            }
            for step in plan.steps
        ],
        "warnings": list(plan.warnings),
        "learned": [_learned(reading, to) for reading in plan.learned],
        "unknowns": _unknowns(plan),
    }


class _Fields:
    """Makes the fields of one quantity."""

    def __init__(self, written: Written) -> None:
        self.written = written

    def estimate(self, name: str, estimate: Estimate) -> Fields:
        """Give value, half-range and text."""
        return _three(name, estimate, self.written.estimate(estimate))

    def small(self, name: str, estimate: Estimate) -> Fields:
        """Do the same for a small length, written with decimals."""
        return _three(name, estimate, self.written.small_estimate(estimate))

    def long(self, name: str, estimate: Estimate) -> Fields:
        """Do the same for a length of thread."""
        return _three(name, estimate, self.written.long(estimate))

    def share(self, name: str, estimate: Estimate) -> Fields:
        """Do the same for a share of one, written in per cent."""
        return _three(name, estimate, self.written.share_estimate(estimate))

    def length(self, name: str, metres: float) -> Fields:
        """Give value and text of a length without +-."""
        return {f"{name}_m": metres, f"{name}_text": self.written.length(metres)}

    def force(self, name: str, newtons: float) -> Fields:
        """Give value and text of a force without +-."""
        return {f"{name}_n": newtons, f"{name}_text": self.written.force(newtons)}

    def duration(self, name: str, seconds: float) -> Fields:
        """Give value and text of a time."""
        return {f"{name}_s": seconds, f"{name}_text": self.written.duration(seconds)}

    def rate(self, name: str, per_metre: float) -> Fields:
        """Give value and text of turns or wraps over length."""
        return {f"{name}_per_m": per_metre, f"{name}_text": self.written.rate(per_metre)}

    def chance(self, name: str, chance: float) -> Fields:
        """Give value and text of a chance."""
        return {name: chance, f"{name}_text": self.written.chance(chance)}


def _three(name: str, estimate: Estimate, text: str) -> Fields:
    unit = _SUFFIXES.get(estimate.unit, estimate.unit)
    tail = f"_{unit}" if unit else ""
    return {
        f"{name}{tail}": estimate.value,
        f"{name}_plus_minus{tail}": estimate.u95,
        f"{name}_text": text,
    }


def _line(plan: Plan) -> Fields:
    line, makeup = plan.job.line, plan.job.makeup
    return {
        "name": line.name,
        "kind": line.kind,
        "zero_end": line.zero_end.name,
        "far_end": line.far_end.name,
        "strand": makeup.strand,
        "strands": makeup.strands,
    }


def _target(target: Target, to: _Fields) -> Fields:
    return {
        **to.estimate("length", target.length),
        **to.force("measuring_load", target.measuring_load),
        **to.length("pin_diameter", target.pin_diameter),
        **to.length("tolerance", target.tolerance),
        "source": target.source,
        "notes": list(target.notes),
    }


def _winding(winding: Winding, to: _Fields) -> Fields:
    return {
        **to.estimate("posts_outside", winding.posts_outside),
        **to.estimate("posts_centres", winding.posts_centres),
        **to.estimate("after_winding", winding.after_winding),
        **to.force("drag", winding.drag),
        **to.estimate("load", winding.load),
        "slack_passes": winding.slack_passes,
        "passes": winding.passes,
        "rounds": winding.rounds,
        "strands": winding.strands,
        "colours": [
            {
                "name": run.name,
                "colour": run.colour,
                "strands": run.strands,
                "rounds": run.rounds,
                "starts_at": run.starts_at,
                "ends_at": run.ends_at,
                **to.long("thread", Estimate(run.thread_length, 0.0, "m")),
                **to.estimate("spool_loses", run.mass),
                "scale_finds_missing": run.scale_finds_missing,
            }
            for run in winding.runs
        ],
        **to.estimate("tail_hold", winding.tail_hold),
        **to.length("tail_cut", winding.tail_cut),
        "tail_place": winding.tail_place,
        **to.length("shift", winding.shift),
        "tightest": winding.tightest,
        "weighing": winding.weighing,
        "warnings": list(winding.warnings),
    }


def _stage(stage: StagePlan, to: _Fields) -> Fields:
    return {
        "key": stage.key,
        "title": stage.title,
        **to.force("load", stage.load),
        "pins_m": list(stage.pins),
        "turns": stage.turns,
        **to.estimate("length", stage.length),
        "edges": [to.estimate("at", edge) for edge in stage.edges],
        "reading": stage.reading,
        "buys_m": stage.buys,
    }


def _serving(serving: ServingPlan, to: _Fields) -> Fields:
    return {
        "name": serving.name,
        "use": serving.use,
        "thread": serving.thread,
        "hand": serving.hand,
        "colour": serving.colour,
        **to.length("start_now", serving.now_start),
        **to.length("stop_now", serving.now_stop),
        **to.estimate("start_finished", serving.start),
        **to.estimate("stop_finished", serving.stop),
        **to.estimate("wraps", serving.wraps),
        **to.rate("wraps_over_length", serving.wraps_per_length),
        **to.long("thread_length", serving.thread_length),
        "bobbins": serving.bobbins,
        **to.small("core_diameter", serving.core),
        **to.small("outside_diameter", serving.outside),
        **to.estimate("slides_at", serving.hold),
        **to.force("tension_laid", serving.tension_laid),
        **to.force("tension_finished", serving.tension_finished),
        **to.estimate("mass", serving.mass),
        "by_twist": serving.locked_by_twist,
        "warnings": list(serving.warnings),
    }


def _twist(twist: TwistPlan, to: _Fields) -> Fields:
    return {
        "turns": twist.turns,
        "turns_low": twist.turns_low,
        "turns_high": twist.turns_high,
        **to.rate("rate", twist.rate),
        **to.rate("rate_low", twist.rate_low),
        **to.rate("rate_high", twist.rate_high),
        "hand": twist.hand,
        **to.small("take_up", twist.take_up),
        **to.small("next_turn", twist.next_turn),
        **to.small("next_half", twist.next_half),
        **to.small("less_turn", twist.less_turn),
        **to.length("shortest", twist.shortest),
        **to.length("longest", twist.longest),
        "most_turns": twist.most_turns,
        "slack_strands": twist.slack_strands,
        **to.estimate("torque", twist.torque),
        **to.share("strength_kept", twist.strength_kept),
    }


def _strength(strength: Strength, to: _Fields) -> Fields:
    return {
        **to.force("strands", strength.strands),
        **to.share("twist_keeps", strength.twist),
        **to.share("bundle_keeps", strength.bundle),
        **to.share("ends_keep", strength.ends),
        **to.estimate("derated", strength.derated),
        "weakest": strength.weakest,
        "places": [
            {
                "name": place.name,
                "strands": place.strands.value,
                "strands_u": place.strands.u,
                **to.share("keeps", place.keeps),
                **to.estimate("load", place.load),
            }
            for place in strength.places
        ],
        "checks": [
            {
                "name": check.name,
                **to.estimate("load", check.load),
                **to.share("share", check.share),
                "verdict": check.verdict,
                "source": check.source,
            }
            for check in strength.checks
        ],
    }


def _landing(plan: Plan, shop: str, anew: bool, to: _Fields) -> Fields:
    landing = plan.landing
    guided = Estimate(plan.target.length.value, landing.guided_u, "m")
    # A carried plan follows the hand: what has to be predicted anew would hold it up.
    remedies = landing.every_remedy if anew and not plan.carried else landing.remedies
    return {
        **to.estimate("blind", landing.blind),
        **to.chance("chance_blind", landing.chance_blind),
        **to.estimate("guided", guided),
        **to.chance("chance_first", landing.chance_first),
        **to.chance("chance", landing.chance),
        "chances_said": chances_said(landing.chance_first, landing.chance),
        **to.chance("chance_of_original", landing.chance_of_original),
        "budget": _budget(landing.budget, to),
        "guided_budget": _budget(landing.guided_budget, to),
        "remedies": [_remedy(remedy, to) for remedy in remedies],
        "readings": [_reading(worth, to) for worth in landing.readings],
        "heard": landing.heard,
        "shop": shop,
        "proof": {
            "plus_minus_m": 2.0 * landing.proof_u,
            **to.small("accept_within", Estimate(landing.proof.acceptance_limit, 0.0, "m")),
            **to.small("reject_beyond", Estimate(landing.proof.rejection_limit, 0.0, "m")),
            "can_accept": landing.proof.can_accept,
            "read": landing.proved,
            "verdict": landing.proof.verdict.value if landing.proved else None,
            "sentence": landing.proof.sentence() if landing.proved else "",
        },
    }


def _remedy(remedy: Remedy, to: _Fields) -> Fields:
    return {
        "name": remedy.name,
        "said": remedy_said(remedy),
        "plus_minus_m": 2.0 * remedy.u,
        **to.chance("chance_first", remedy.chance_first),
        **to.chance("chance", remedy.chance),
        "gain_first": remedy.gain_first,
        "gain": remedy.gain,
        "cost_s": remedy.time,
        "cost_text": cost_said(remedy.time, remedy.once),
        "saves_s": remedy.saves,
    }


def _reading(worth: ReadingWorth, to: _Fields) -> Fields:
    return {
        "kind": worth.key,
        "title": worth.title,
        "stage": worth.stage or None,
        "asked": worth.asked,
        "gain_first": worth.gain_first,
        "gain": worth.gain,
        "alone": worth.alone,
        "cost_s": worth.time,
        "saves_s": worth.saves,
        "when": worth.when,
        "said": when_said(worth),
    }


def _budget(rows: Iterable[Contribution], to: _Fields) -> list[Fields]:
    return [
        {
            "name": row.parameter,
            "label": row.label,
            "source": row.source,
            "plus_minus_m": 2.0 * row.standard_uncertainty,
            "share": row.share,
            "share_text": to.written.share(row.share),
        }
        for row in rows
    ]


def _learned(learned: Learned, to: _Fields) -> Fields:
    return {
        "stage": learned.stage,
        **to.estimate("expected", learned.expected),
        **to.length("read", learned.read),
        "surprising": learned.surprising,
        "sentences": list(learned.sentences),
    }


def _unknowns(plan: Plan) -> list[Fields]:
    """Give what is known of the model's unknowns; a log or logit one is spread on that scale."""
    known = plan.parameters
    return [
        {
            "name": name,
            "label": label or name,
            "value": known.value(name),
            "unit": unit,
            "scale": scale,
            "standard_uncertainty_on_scale": known.standard_uncertainty(name),
            "source": source,
        }
        for name, label, unit, scale, source in zip(
            known.names, known.labels, known.units, known.scales, known.sources, strict=True
        )
    ]
