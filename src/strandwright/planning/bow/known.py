"""What a job knows of its bow, and the sizes met with where it knows nothing."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.bow.bent_family import BentKnown
from strandwright.bow.family import LOGARITHMIC, Known, Spread
from strandwright.bow.systems import SIZES, System
from strandwright.errors import SpecError
from strandwright.planning.bow.crossbow import crossbow_known, crossbow_system
from strandwright.planning.bow.given import metres, missing, refuse
from strandwright.planning.bow.line_stiffness import line_stiffness_of
from strandwright.planning.bow.roller import roller_sizes
from strandwright.planning.result import Plan
from strandwright.reference import has_practice, practice
from strandwright.workshop.job import Job

#: Sizes of bows met with, for a draw of this stroke and this axle-to-axle [m].
_STROKE, _APART = 0.517, 0.838
_BY_STROKE = frozenset({"string_lever", "cable_lever", "control_lever", "follower_lever"})
_NEEDED = ("axle_to_axle", "brace_height", "draw_length", "draw_weight")


@dataclass(frozen=True)
class BowQuestion:
    """What is asked of the mechanics; equal questions have equal answers.

    Attributes
    ----------
    known : Known or BentKnown
        What is known, of a bow with wheels or one without.
    prior : tuple of (str, Spread)
        Sizes met with.
    """

    known: Known | BentKnown
    prior: tuple[tuple[str, Spread], ...]


def system_of(job: Job) -> System | None:
    """Tell how the lines of a job's bow run.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str or None
        None for a bow without wheels.
    """
    kind = job.bow.kind
    if kind == "crossbow":
        return crossbow_system(job)
    if kind == "two-cam":
        return "slaved two-cam" if job.bow.cables == "wheel to wheel" else "two-cam"
    if kind == "hybrid-cam":
        return "hybrid-cam"
    return "one-cam" if kind == "one-cam" else None


def question(job: Job, plan: Plan) -> BowQuestion:
    """Put what a job knows of its bow into the mechanics' words.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line, for stiffness and thickness.

    Returns
    -------
    BowQuestion
        Everything that decides the answer.

    Raises
    ------
    InputError
        If a figure is missing or out of reach.
    InputErrors
        For several of them.
    """
    if job.bow.kind == "crossbow":
        flat, met_with = crossbow_known(job, plan)
        return BowQuestion(flat, tuple(met_with.items()))
    system = system_of(job)
    if system is None:
        return _bent_question(job, plan)
    refuse(missing(job, _NEEDED))
    apart, brace, draw = (metres(job, f) for f in ("axle_to_axle", "brace_height", "draw_length"))
    full = draw - practice("draw.pivot_offset").value
    _refuse_out_of_reach(job, apart, brace, full)
    exact = _exact(job, plan, apart, brace) | roller_sizes(job)
    named = _prior(system, (full - brace) / _STROKE, apart / _APART)
    for name in SIZES:
        if name not in named and name not in exact:
            exact[name] = 0.01 if name.endswith("_lever") else 0.0
    board = _board(job)
    length_u = job.bow.draw_length and job.bow.draw_length.standard_uncertainty
    doubt = length_u or practice("wheels.length_doubt").standard_uncertainty
    known = Known(
        system,
        tuple(sorted(exact.items())),
        tuple(_figures(job, system, full - brace).items()),
        (full, doubt),
        board,
    )
    return BowQuestion(known, tuple(named.items()))


def _bent_question(job: Job, plan: Plan) -> BowQuestion:
    """The same for a recurve or a longbow."""
    return bent_question(
        job,
        line_stiffness_of(plan),
        max((s.outside.value for s in plan.servings), default=plan.bare_diameter.value),
    )


def bent_question(job: Job, stiffness: float, thickness: float) -> BowQuestion:
    """Put what a job knows of its recurve or longbow into the mechanics' words.

    Parameters
    ----------
    job : Job
        The job.
    stiffness : float
        EA of its string [N]
    thickness : float
        Diameter of the string where it lies on the tips [m]

    Returns
    -------
    BowQuestion
        Everything that decides the answer.

    Raises
    ------
    InputError
        If a figure is missing or out of reach.
    InputErrors
        For several of them.
    """
    kind = job.bow.kind
    refuse(missing(job, ("bow_length", "brace_height", "draw_length", "draw_weight")))
    long, brace, draw = (metres(job, f) for f in ("bow_length", "brace_height", "draw_length"))
    full = draw - practice("draw.pivot_offset").value
    weight, nock = job.bow.draw_weight, job.bow.nock_height
    assert weight is not None
    for name, given, low, high in (
        ("bow_length", long, 0.9, 2.2),
        ("brace_height", brace, 0.08, 0.3),
        ("draw_length", full, brace + 0.15, 0.62 * long),
    ):
        if not low <= given <= high:
            rule = {
                "bow_length": "must be 36 to 86 in",
                "brace_height": "must be 3 to 12 in",
                "draw_length": "must be 8 in past the brace height, and the bow must allow it",
            }[name]
            text = getattr(job.bow, name).text
            raise SpecError(f"bow.{name}", text, rule, "measure it again")
    doubt = practice("wheels.weight_doubt").standard_uncertainty * weight.si
    known = BentKnown(
        kind == "recurve",
        long,
        brace,
        full,
        (weight.si, weight.standard_uncertainty or doubt),
        practice("wheels.nock_height").value if nock is None else nock.si,
        stiffness,
        thickness,
    )
    rows = {name: practice(f"bent.{kind}.{name}") for name in _BENT if _has(kind, name)}
    scale = long / _LONG
    prior = {
        name: Spread(
            row.value * (scale if name in ("riser", "tip") else 1.0), row.standard_uncertainty
        )
        for name, row in rows.items()
    }
    return BowQuestion(known, tuple(prior.items()))


def _has(kind: str, name: str) -> bool:
    return kind == "recurve" or not name.startswith("tip")


#: Sizes of a bow without wheels, and the bow length they are met with on [m].
_BENT = ("riser", "set_forward", "lean", "tip", "tip_turn")
_LONG = 68 * 0.0254


def _prior(system: System, stroke: float, apart: float) -> dict[str, Spread]:
    """Sizes met with on bows of a system, carried to this bow's draw and axle-to-axle."""
    table = "slaved" if system == "slaved two-cam" else system
    found: dict[str, Spread] = {}
    for name in SIZES:
        if not has_practice(f"wheels.{table}.{name}"):
            continue
        row = practice(f"wheels.{table}.{name}")
        scale = stroke if name in _BY_STROKE else apart if name == "link" else 1.0
        positive = name in LOGARITHMIC
        spread = row.relative_uncertainty if positive else row.standard_uncertainty
        found[name] = Spread(row.value * scale, spread)
    return found


def _exact(job: Job, plan: Plan, apart: float, brace: float) -> dict[str, float]:
    stiffness = line_stiffness_of(plan)
    wheel, nock = job.bow.upper_wheel, job.bow.nock_height
    served = [s.outside.value for s in plan.servings if s.use in ("end", "track")]
    return {
        "axle_to_axle": apart,
        "brace_height": brace,
        "nock_height": practice("wheels.nock_height").value if nock is None else nock.si,
        "idler": 0.5 * (practice("wheels.idler").value if wheel is None else wheel.si),
        "string_stiffness": stiffness,
        "cable_stiffness": stiffness,
        "thickness": max(served, default=plan.bare_diameter.value),
    }


def _figures(job: Job, system: System, stroke: float) -> dict[str, tuple[float, float]]:
    """Figures of the draw that the bows looked for must agree with, each with its +-."""
    bow, kind = job.bow, job.bow.kind
    assert bow.draw_weight is not None
    peak = bow.draw_weight.si
    doubt = practice("wheels.weight_doubt").standard_uncertainty * peak
    found = {"peak": (peak, bow.draw_weight.standard_uncertainty or doubt)}
    if bow.let_off is not None:
        doubt = practice("wheels.holding").standard_uncertainty * peak
        u = bow.let_off.standard_uncertainty
        held = (1.0 - bow.let_off.si) * peak
        found["holding"] = (held, doubt if u is None else max(u * peak, 0.2 * doubt))
    if bow.stored_energy is not None:
        u = bow.stored_energy.standard_uncertainty or 0.02 * bow.stored_energy.si
        found["stored_energy"] = (bow.stored_energy.si, u)
    elif not bow.draw_board:
        fill = practice(f"bow.{kind}.fill")
        found["stored_energy"] = (
            fill.value * peak * stroke,
            fill.standard_uncertainty * peak * stroke,
        )
    if system == "one-cam":
        u = practice("wheels.level").standard_uncertainty
        found |= {"nock_travel": (0.0, u), "nock_travel_midway": (0.0, 3.0 * u)}
    else:
        # A bow that is in use is in time, whatever else is not known of it.
        u = practice("wheels.together").standard_uncertainty
        found |= {"timing": (0.0, u), "timing_midway": (0.0, 2.0 * u)}
    bend = practice("wheels.limb_bend")
    return found | {"limb_bend": (bend.value, bend.standard_uncertainty)}


def _board(job: Job) -> tuple[tuple[float, float, float], ...]:
    """Points of a draw board from the pivot, each to half its step or to one per cent."""
    offset = practice("draw.pivot_offset").value
    return tuple(
        (
            p.draw.si - offset,
            p.force.si,
            p.force.standard_uncertainty or max(0.01 * p.force.si, 0.25 * float(p.force.step)),
        )
        for p in job.bow.draw_board
    )


def _refuse_out_of_reach(job: Job, apart: float, brace: float, full: float) -> None:
    bow = job.bow
    assert bow.draw_length is not None
    assert bow.brace_height is not None
    assert bow.axle_to_axle is not None
    stroke = full - brace
    if not 0.2 <= stroke <= 0.9:
        rule = "must leave a stroke of 8 to 35 in from the brace height, less 1 3/4 in"
        raise SpecError(
            "bow.draw_length", bow.draw_length.text, rule, "check it and the brace height"
        )
    if not 0.07 <= brace <= 0.3:
        rule = "must be 3 to 12 in on a bow with wheels"
        raise SpecError("bow.brace_height", bow.brace_height.text, rule, "measure it again")
    if not 0.35 <= apart <= 1.4:
        rule = "must be 14 to 55 in"
        raise SpecError("bow.axle_to_axle", bow.axle_to_axle.text, rule, "measure it again")
    places = [p.draw for p in bow.draw_board]
    offset = practice("draw.pivot_offset").value
    for i, place in enumerate(places, start=1):
        if not brace <= place.si - offset <= full + 0.005:
            rule = "must lie between brace height and draw length"
            where = f"bow.draw_board[{i}].draw"
            raise SpecError(where, place.text, rule, "leave out points past the wall")
