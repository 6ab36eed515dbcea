"""Foreseen: builds predicted anew with another stretch, rest or jig, as sure as they would be.

What a longer stretch or a stiffer jig does to the +- is no share of what it is now: bedding-in,
recovery, creep and drag all act anew. So settings are chosen and slopes are taken again by the
model, of the lengths alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from strandwright.errors import InputError, InputErrors, SolveError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Settings, build
from strandwright.line.model import LineModel
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import propagate
from strandwright.planning.guided import Tools, asked_readings
from strandwright.planning.prepare import LONGEST_REST, REST_STEP, Prepared, at_mean, prepare
from strandwright.planning.readings.learning import learn_from_trial_wraps
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.readings.others import learn_from_other_readings
from strandwright.planning.servings.plan import estimate
from strandwright.planning.settings import Chosen, choose_settings
from strandwright.planning.strength.margins import check_strength, rating_warning, refuse_overload
from strandwright.planning.worth.grounds import Grounds
from strandwright.planning.worth.minutes import waited
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.units import Dimension, parse

#: How much longer a stretch and a rest are tried, and how much harder a stretch [-]
_LONGER, _HARDER = 2.0, 1.25


@dataclass(frozen=True, eq=False)
class Foreseen:
    """Another way to build, predicted.

    Attributes
    ----------
    name : str
        What to do.
    grounds : Grounds
        What the chance would rest on.
    time : float
        What it costs with each line; 0 for what is made once [s]
    once : str
        What it costs once; empty where it costs time.
    """

    name: str
    grounds: Grounds
    time: float
    once: str = ""


def predicted(
    prepared: Prepared, before: Grounds, near: Chosen | None = None
) -> tuple[Grounds, Chosen]:
    """Predict the lengths of a build at its own settings.

    Parameters
    ----------
    prepared : Prepared
        The job made ready, no length read yet.
    before : Grounds
        The grounds it takes length asked for and tolerance from.
    near : Chosen or None
        Settings of nearly the same line, to begin from.

    Returns
    -------
    grounds : Grounds
        With slopes of the finished length and of every reading asked for, and with the error
        that stands in ``before``.
    chosen : Chosen
        The settings.
    """
    chosen = choose_settings(prepared, at_mean(prepared.parameters), near)
    settings = chosen.settings
    prepared = _stopping_as(prepared, before.prepared)
    spread = propagate(lambda q: _lengths(prepared.model, settings, q), prepared.parameters)
    one = abs(float(spread.mean[spread.index("turn_effect")]))
    noise = read_noise(prepared, prepared.loads.measure, turns=settings.turns)
    # Settings are aimed for the mean by the plan that would be made: what it misses is left out.
    grounds = replace(
        before,
        prepared=prepared,
        spread=spread,
        tools=Tools(noise, one, before.tools.turn_step),
        wanted=float(spread.mean[spread.index("finished")]) - before.error,
        known=prepared.parameters,
    )
    return grounds, chosen


def _lengths(model: LineModel, settings: Settings, q: Unknowns) -> dict[str, FloatArray]:
    """Of what :func:`~strandwright.planning.predict.predict` gives, the lengths alone."""
    outcome = build(model, q, settings)
    read = {f"read:{key}": state.length for key, state in outcome.stages.items()}
    return {"finished": outcome.finished.length, "turn_effect": outcome.turn_effect, **read}


def _stopping_as(prepared: Prepared, before: Prepared) -> Prepared:
    """Give the job with its stops at the same shares of the turns as before."""
    shares = {s.key: s.turns_share for s in before.model.route.stages}
    route = prepared.model.route
    stages = tuple(replace(s, turns_share=shares.get(s.key, s.turns_share)) for s in route.stages)
    model = replace(prepared.model, route=replace(route, stages=stages))
    return replace(prepared, model=model)


def other_ways(grounds: Grounds, near: Chosen | None = None) -> Iterator[Foreseen]:
    """Give the other ways to build a line of which no length was read yet.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line as it is planned.
    near : Chosen or None
        Settings of that line, to begin from.

    Yields
    ------
    Foreseen
        One that the limits allow.
    """
    prepared = grounds.prepared
    to, loads = Written.on(prepared.job.paper), prepared.loads
    dwell = _LONGER * loads.stretch_dwell
    longer = _with_route(grounds, near, stretch_dwell=f"{dwell:.0f} s")
    if longer is not None:
        name = f"stretch it for {to.duration(dwell)}"
        yield Foreseen(name, longer, waited(dwell - loads.stretch_dwell))
    load = _HARDER * loads.stretch
    harder = _with_route(grounds, near, stretch=f"{load:.1f} N")
    if harder is not None:
        yield Foreseen(f"stretch it at {to.force(load)}", harder, 0.0)
    rest = min(_LONGER * loads.rest, LONGEST_REST * REST_STEP)
    rested = _with_route(grounds, near, rest=f"{rest:.0f} s") if rest > loads.rest else None
    if rested is not None:
        count = len(asked_readings(prepared))
        name = f"let it rest {to.duration(rest)} before it is read"
        yield Foreseen(name, rested, waited(count * (rest - loads.rest)))
    stiffer = _on_steel_posts(grounds, near)
    if stiffer is not None:
        yield Foreseen("wind on posts of welded steel", stiffer, 0.0, "to build, once")


def _with_route(grounds: Grounds, near: Chosen | None, **changes: str) -> Grounds | None:
    """Give the grounds with another load or time of the route; None where a limit forbids it."""
    job = grounds.prepared.job
    kinds = {"stretch": Dimension.FORCE}
    entered = {
        name: parse(kinds.get(name, Dimension.DURATION), text, field=f"route.{name}")
        for name, text in changes.items()
    }
    job = job.model_copy(update={"route": job.route.model_copy(update=entered)})
    try:
        prepared = prepare(job, grounds.prepared.model.line.length)
        prepared = learn_from_other_readings(learn_from_trial_wraps(prepared))
        if "stretch" in changes and not _is_borne(grounds, prepared):
            return None
        return predicted(prepared, grounds, near)[0]
    except (InputError, InputErrors, SolveError):
        return None


def _is_borne(grounds: Grounds, prepared: Prepared) -> bool:
    """Whether line and bench take a pull without a word of warning that was not there before."""
    strength = check_strength(prepared, estimate(grounds.spread, "twist_efficiency", "1"))
    refuse_overload(prepared, strength)
    fine = all(check.verdict == "fine" for check in strength.checks)
    return fine and not rating_warning(prepared)


def _on_steel_posts(grounds: Grounds, near: Chosen | None) -> Grounds | None:
    """Give the grounds with posts that give as welded steel does; None where they do by now."""
    steel, prepared = practice("post.steel.stiffness"), grounds.prepared
    known = prepared.parameters
    if known.value("post_stiffness") >= 0.25 * steel.value:
        return None
    posts = Parameter("post_stiffness", 0.5 * steel.value, steel.relative_uncertainty, "log")
    other = _with_parameter(known, posts)
    try:
        return predicted(replace(prepared, parameters=other), grounds, near)[0]
    except (InputError, InputErrors, SolveError):
        return None


def _with_parameter(known: ParameterVector, new: Parameter) -> ParameterVector:
    """Give unknowns with one of them replaced by another that nothing is known of beside."""
    i = known.index(new.name)
    mean, covariance = known.mean.copy(), known.covariance.copy()
    mean[i] = new.working_mean
    covariance[i, :] = covariance[:, i] = 0.0
    covariance[i, i] = new.standard_uncertainty**2
    return known.with_updated(mean, covariance)
