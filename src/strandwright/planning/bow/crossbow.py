"""A crossbow as a job knows it: of limbs alone, or with wheels, drawn from its brace to its latch.

Brace height and draw length are measured from one place on the stock; the power stroke is what
lies between them. Its string lies in the middle, so both halves are mirror images.
"""

from __future__ import annotations

from strandwright.bow.bent_family import BentKnown
from strandwright.bow.family import LOGARITHMIC, Known, Spread
from strandwright.bow.systems import SIZES, System
from strandwright.errors import SpecError
from strandwright.planning.bow.given import metres, missing, refuse
from strandwright.planning.bow.line_stiffness import line_stiffness_of
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.units import INCH
from strandwright.workshop.job import Job

Prior = dict[str, Spread]
#: What the sizes of the tables are met with on: power stroke, axle to axle, length of a prod [m].
_STROKE, _APART, _PROD = 13.5 * INCH, 20.0 * INCH, 36.0 * INCH
_WHEELED = (
    "link", "lean", "limb_stiffness", "string_tension", "string_lever", "string_throw",
    "string_second", "string_third", "cable_lever", "cable_throw", "cable_second", "cable_third",
    "cable_lag", "turn",
)  # fmt: skip
_FAR_ENDS = ("control_lever", "control_throw")
_BY_STROKE = frozenset({"string_lever", "cable_lever", "control_lever"})
_BENT = ("riser", "set_forward", "lean", "tip", "tip_turn")
_BY_LENGTH = frozenset({"riser", "set_forward", "tip"})
_ALWAYS = ("brace_height", "draw_length", "draw_weight")
_REMEDIES = {
    "draw_length": "measure to the string at the latch, from where brace height is measured: "
    "brace height and power stroke together",
    "bow_length": "measure along the unstrung prod from nock to nock",
    "axle_to_axle": "measure it uncocked",
}


def crossbow_system(job: Job) -> System | None:
    """Tell how the lines of a job's crossbow run.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str or None
        None for one without wheels, and where the job does not say.
    """
    if job.bow.crossbow != "compound":
        return None
    return "slaved two-cam" if job.bow.cables == "wheel to wheel" else "two-cam"


def crossbow_known(job: Job, plan: Plan) -> tuple[Known | BentKnown, Prior]:
    """Put what a job knows of its crossbow into the mechanics' words.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line, for stiffness and thickness.

    Returns
    -------
    known : Known or BentKnown
        With wheels or without.
    prior : dict of str to Spread
        Sizes met with.

    Raises
    ------
    InputError
        If a figure is missing or out of reach.
    InputErrors
        For several of them.
    """
    kind = job.bow.crossbow
    if kind is None:
        rule = "must say which kind of crossbow it is: recurve or compound"
        remedy = "write compound if its string and cables run over wheels, recurve if it has none"
        unsaid = SpecError("bow.crossbow", "left out", rule, remedy)
        refuse([unsaid, *missing(job, _ALWAYS, _REMEDIES)])
    across = "axle_to_axle" if kind == "compound" else "bow_length"
    refuse(missing(job, (across, *_ALWAYS), _REMEDIES))
    _refuse_out_of_reach(job, across)
    return _with_wheels(job, plan) if kind == "compound" else _prod(job, plan)


def _refuse_out_of_reach(job: Job, across: str) -> None:
    wide, brace, full = (metres(job, name) for name in (across, "brace_height", "draw_length"))
    limits = {
        "axle_to_axle": (wide, 8.0, 40.0, "must be 8 to 40 in, uncocked"),
        "bow_length": (wide, 16.0, 50.0, "must be 16 to 50 in along the unstrung prod"),
        "brace_height": (brace, 1.0, 16.0, "must be 1 to 16 in on a crossbow"),
        "draw_length": (full - brace, 3.0, 22.0, "must leave a power stroke of 3 to 22 in"),
    }
    for name in (across, "brace_height", "draw_length"):
        value, low, high, rule = limits[name]
        if not low * INCH <= value <= high * INCH:
            remedy = _REMEDIES[name] if name == "draw_length" else "measure it again"
            raise SpecError(f"bow.{name}", getattr(job.bow, name).text, rule, remedy)
    if across == "bow_length" and full > 0.62 * wide:
        assert job.bow.draw_length is not None
        given = job.bow.draw_length.text
        rule = "must leave the prod a shape: 0.62 of its length at most"
        raise SpecError("bow.draw_length", given, rule, "measure prod and draw again")


def _with_wheels(job: Job, plan: Plan) -> tuple[Known, Prior]:
    """Both wheels alike, their cables to the axles or from wheel to wheel."""
    apart, brace, full = (metres(job, n) for n in ("axle_to_axle", "brace_height", "draw_length"))
    system = crossbow_system(job)
    assert system is not None
    prior = _wheel_prior((full - brace) / _STROKE, apart / _APART, slaved=system != "two-cam")
    served = [s.outside.value for s in plan.servings if s.use in ("end", "track")]
    stiffness = line_stiffness_of(plan)
    exact = {
        "axle_to_axle": apart,
        "brace_height": brace,
        "nock_height": 0.0,
        "string_stiffness": stiffness,
        "cable_stiffness": stiffness,
        "thickness": max(served, default=plan.bare_diameter.value),
    }
    for name in SIZES:
        if name not in prior and name not in exact:
            exact[name] = 0.01 if name.endswith("_lever") or name == "idler" else 0.0
    assert job.bow.draw_length is not None
    doubt = job.bow.draw_length.standard_uncertainty
    known = Known(
        system,
        tuple(sorted(exact.items())),
        tuple(_figures(job, full - brace).items()),
        (full, doubt or practice("wheels.length_doubt").standard_uncertainty),
        _board(job, brace, full),
        _rail(job),
    )
    return known, prior


def _wheel_prior(stroke: float, apart: float, *, slaved: bool) -> Prior:
    found: Prior = {}
    for name in (*_WHEELED, *(_FAR_ENDS if slaved else ())):
        row = practice(f"crossbow.wheels.{name}")
        scale = stroke if name in _BY_STROKE else apart if name == "link" else 1.0
        positive = name in LOGARITHMIC
        spread = row.relative_uncertainty if positive else row.standard_uncertainty
        found[name] = Spread(row.value * scale, spread)
    return found


def _figures(job: Job, stroke: float) -> dict[str, tuple[float, float]]:
    """Figures of the draw, each with its +-: greatest force, force at the latch, energy."""
    bow = job.bow
    assert bow.draw_weight is not None
    peak = bow.draw_weight.si
    doubt = practice("wheels.weight_doubt").standard_uncertainty * peak
    found = {"peak": (peak, bow.draw_weight.standard_uncertainty or doubt)}
    if bow.let_off is not None:
        u = bow.let_off.standard_uncertainty or practice("wheels.holding").standard_uncertainty
        found["holding"] = ((1.0 - bow.let_off.si) * peak, u * peak)
    elif not bow.draw_board:
        latch = practice("crossbow.wheels.latch")
        found["holding"] = (latch.value * peak, latch.standard_uncertainty * peak)
    if bow.stored_energy is not None:
        u = bow.stored_energy.standard_uncertainty or 0.02 * bow.stored_energy.si
        found["stored_energy"] = (bow.stored_energy.si, u)
    elif not bow.draw_board:
        fill, most = practice("bow.crossbow.compound.fill"), peak * stroke
        found["stored_energy"] = (fill.value * most, fill.standard_uncertainty * most)
    bend = practice("crossbow.wheels.limb_bend")
    return found | {"limb_bend": (bend.value, bend.standard_uncertainty)}


def _board(job: Job, brace: float, full: float) -> tuple[tuple[float, float, float], ...]:
    """Points of a draw board, each to half its step or to one per cent."""
    found: list[tuple[float, float, float]] = []
    for i, point in enumerate(job.bow.draw_board, start=1):
        if not brace <= point.draw.si <= full + 0.005:
            rule = "must lie between brace height and draw length"
            where = f"bow.draw_board[{i}].draw"
            remedy = "measure from where brace height is measured; leave out points past the latch"
            raise SpecError(where, point.draw.text, rule, remedy)
        force = point.force
        u = force.standard_uncertainty or max(0.01 * force.si, 0.25 * float(force.step))
        found.append((point.draw.si, force.si, u))
    return tuple(found)


def _prod(job: Job, plan: Plan) -> tuple[BentKnown, Prior]:
    """Limbs that bend all along, recurved at their tips."""
    long, brace, full = (metres(job, n) for n in ("bow_length", "brace_height", "draw_length"))
    weight = job.bow.draw_weight
    assert weight is not None
    doubt = practice("wheels.weight_doubt").standard_uncertainty * weight.si
    known = BentKnown(
        True,
        long,
        brace,
        full,
        (weight.si, weight.standard_uncertainty or doubt),
        0.0,
        line_stiffness_of(plan),
        max((s.outside.value for s in plan.servings), default=plan.bare_diameter.value),
        _rail(job),
    )
    prior: Prior = {}
    for name in _BENT:
        row = practice(f"crossbow.prod.{name}")
        scale = long / _PROD if name in _BY_LENGTH else 1.0
        prior[name] = Spread(row.value * scale, row.standard_uncertainty * scale)
    return known, prior


def _rail(job: Job) -> tuple[float, float]:
    row, given = practice("crossbow.rail"), job.bow.rail
    if given is None:
        return row.value, row.standard_uncertainty
    return given.si, given.standard_uncertainty or 0.0
