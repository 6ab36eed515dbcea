"""What a string and the things on it cost in arrow speed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from strandwright.bow.item_cost import ItemCost, cost_of
from strandwright.bow.launch import Shot, arrow_speed, speed_uncertainty
from strandwright.bow.near_wheel import NearWheel, Verdict
from strandwright.bow.speed_reading import SpeedReading, fit_virtual_mass
from strandwright.bow.string_mass import Item
from strandwright.bow.virtual_mass import VirtualMass, virtual_mass
from strandwright.errors import SpecError
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.touched import ServingCover, lane_of
from strandwright.planning.details.marks import tied_marks
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan, ServingPlan
from strandwright.reference import practice
from strandwright.units import GRAIN
from strandwright.workshop.job import Job

#: Arrow of five grains a pound of draw weight, where the job names none (ASTM F1544's 350 gr
#: at 70 lbf).
_GRAINS_PER_POUND = 350 * 64.79891e-6 / (70 * 4.4482216152605)


@dataclass(frozen=True)
class Speed:
    """Arrow speed, and what each thing on the string takes from it.

    Attributes
    ----------
    speed : Estimate
        With everything on [m/s]
    arrow : float
        Mass of the arrow [kg]
    arrow_assumed : bool
        Whether the job left the arrow out and a usual one was taken.
    measured : bool
        Whether a shot over a chronograph was learned from.
    costs : tuple of ItemCost
        The bare string, servings and things tied in.
    """

    speed: Estimate
    arrow: float
    arrow_assumed: bool
    measured: bool
    costs: tuple[ItemCost, ...]


@dataclass(frozen=True)
class BeyondCost:
    """What it costs in speed that a serving goes past what is touched and its margin.

    Attributes
    ----------
    lost : float
        Speed without the part past it less speed with it [m/s]
    low : float
        The least it may cost; below zero where a gain cannot be excluded [m/s]
    told : bool
        Whether the model can tell; where not, the truth lies from ``low`` to ``lost``.
    """

    lost: float
    low: float
    told: bool


def string_speed(job: Job, plan: Plan, model: BowModel) -> Speed | None:
    """Work out what a string costs in speed.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    model : BowModel
        Its bow.

    Returns
    -------
    Speed or None
        None for a cable, whose mass sits at the wheels.
    """
    if job.line.kind != "string":
        return None
    launch = _launch(job, plan, model)
    costs = cost_of(launch.items, launch.bare, near_wheel=launch.near)
    mass = sum(item.mass * item.weight for item in launch.items)
    whole = replace(launch.bare, string_mass=mass)
    speed = Estimate(float(arrow_speed(whole)), float(speed_uncertainty(whole)), "m/s")
    return Speed(speed, launch.arrow, launch.assumed, launch.measured, costs)


def cost_beyond(
    job: Job, plan: Plan, model: BowModel, covers: tuple[ServingCover, ...]
) -> dict[str, BeyondCost]:
    """Work out what costs in speed to be served past what is touched and its margin.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    model : BowModel
        Its bow.
    covers : tuple of ServingCover
        What its servings cover.

    Returns
    -------
    dict of str to BeyondCost
        By serving, where any of it lies past; empty for a cable.
    """
    if job.line.kind != "string":
        return {}
    launch = _launch(job, plan, model)
    places = _places(job, plan, model)
    served = {serving.name: serving for serving in plan.servings}
    found: dict[str, BeyondCost] = {}
    for cover in covers:
        own = served[cover.name]
        past = [
            item
            for k, (start, stop) in enumerate(cover.past)
            if (item := places.served(f"past {k}", own, start, stop)) is not None
        ]
        if not cover.past:
            continue
        rest = [item for item in launch.items if item.name != _serving_name(cover.name)]
        if cover.inside is not None:
            kept = places.served(_serving_name(cover.name), own, *cover.inside)
            rest += [] if kept is None else [kept]
        costs = cost_of([*past, *rest], launch.bare, near_wheel=launch.near)[: len(past)]
        found[cover.name] = BeyondCost(
            sum(float(cost.lost) for cost in costs),
            sum(float(cost.low) for cost in costs),
            all(cost.bounds.verdict is Verdict.TELLS for cost in costs),
        )
    return found


def usual_costs(job: Job, plan: Plan, model: BowModel) -> tuple[ItemCost, ...]:
    """Work out what marks without a mass would cost, were they of the usual one.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    model : BowModel
        Its bow.

    Returns
    -------
    tuple of ItemCost
        One for each such mark between the wheels; none for a cable. The speed of the string
        does not count them.
    """
    if job.line.kind != "string":
        return ()
    places = _places(job, plan, model)
    extra = [
        Item(f"{mark.name}, if of the usual mass", mark.mass.value, place, mass_u=mark.mass.u)
        for mark in tied_marks(plan)
        if mark.is_usual and abs(place := places.along(mark.position.value)) < 1.0
    ]
    if not extra:
        return ()
    launch = _launch(job, plan, model)
    return cost_of([*launch.items, *extra], launch.bare, near_wheel=launch.near)[-len(extra) :]


@dataclass(frozen=True)
class _Launch:
    """A shot with nothing on the string, and everything that is on it."""

    items: tuple[Item, ...]
    bare: Shot
    near: NearWheel | None
    arrow: float
    assumed: bool
    measured: bool


def _launch(job: Job, plan: Plan, model: BowModel) -> _Launch:
    items = _items(job, plan, model)
    energy = model.family.figures.stored_energy
    arrow, assumed = _arrow(job)
    loss = practice(f"launch.{_sort(job)}.hysteresis").value
    own = _virtual(_sort(job), arrow, float(energy.std(ddof=1) / energy.mean()))
    mass = sum(item.mass * item.weight for item in items)
    joules, measured = float(energy.mean()), job.bow.shot is not None and not assumed
    if measured:
        assert job.bow.shot is not None
        scatter = practice("launch.speed_reading").value
        u = job.bow.shot.standard_uncertainty or scatter * job.bow.shot.si
        reading = SpeedReading(arrow, job.bow.shot.si, u, joules, mass, hysteresis=loss)
        _refuse_more_than_stored(job, reading, own)
        own = fit_virtual_mass(own, [reading]).virtual
    reach, gain = (practice(f"launch.near_wheel.{k}").value for k in ("reach", "gain"))
    near = NearWheel(reach, gain) if model.family.strung.bow.wheels else None
    return _Launch(items, Shot(joules, arrow, own, hysteresis=loss), near, arrow, assumed, measured)


def _refuse_more_than_stored(job: Job, reading: SpeedReading, prior: VirtualMass) -> None:
    """Refuse a shot whose arrow carries more than the bow gives back, the string's mass apart."""
    carried = 0.5 * reading.arrow_mass * (reading.speed - 2.0 * reading.speed_u) ** 2
    given = (1.0 - reading.hysteresis) * reading.energy
    if carried <= given * (prior.energy_scale + 2.0 * float(prior.deviations[2])):
        return
    assert job.bow.shot is not None
    raise SpecError(
        "bow.shot",
        job.bow.shot.text,
        f"must leave the arrow less than the bow gives back, some {given:.3g} J",
        f"weigh the arrow again, taken as {reading.arrow_mass / GRAIN:.0f} gr, and check draw "
        "weight and draw length of the bow as it was shot",
    )


def _sort(job: Job) -> str:
    """Sort of bow by what moves with the arrow."""
    return job.bow.kind if job.bow.kind in ("recurve", "longbow", "crossbow") else "compound"


def _arrow(job: Job) -> tuple[float, bool]:
    if job.bow.arrow is not None:
        return job.bow.arrow.si, False
    if job.bow.kind == "crossbow":
        return practice("crossbow.bolt").value, True
    assert job.bow.draw_weight is not None
    return _GRAINS_PER_POUND * job.bow.draw_weight.si, True


def _virtual(sort: str, arrow: float, energy_u: float) -> VirtualMass:
    constant = practice(f"launch.{sort}.virtual_mass")
    slope = practice("launch.virtual_mass_slope")
    return virtual_mass(
        constant.value,
        slope.value,
        constant_u=constant.standard_uncertainty,
        slope_u=slope.standard_uncertainty,
        energy_u=energy_u,
        arrow=arrow,
    )


@dataclass(frozen=True)
class _Places:
    """Where a string's parts lie between its nocking point and the wheels at brace."""

    nock: float
    below: float
    above: float

    def along(self, place: float) -> float:
        """Share of the way from the nocking point to where the string leaves a wheel."""
        off = place - self.nock
        return max(-1.0, min(1.0, off / (self.above if off > 0 else self.below)))

    def served(self, name: str, serving: ServingPlan, start: float, stop: float) -> Item | None:
        """Make a part of a serving an item; none where all of it lies on a wheel."""
        a, b = self.along(start), self.along(stop)
        inside = min(stop, self.nock + self.above) - max(start, self.nock - self.below)
        if inside <= 0 or b <= a:
            return None
        whole = serving.stop.value - serving.start.value
        return Item(name, serving.mass.value * inside / whole, a, b)


def _places(job: Job, plan: Plan, model: BowModel) -> _Places:
    lane = lane_of(job, model)
    assert lane.nock is not None
    length = plan.target.length.value
    nocks = [m.position.value for m in plan.marks if "nock" in m.name.lower()]
    nock = nocks[0] if nocks else length * float((lane.nock / lane.length).mean())
    cycle = model.family.cycle
    bodies, at = cycle.rig.paths.bodies, cycle.rig.bow.nock
    into = int((bodies[:, 1] == at).argmax())
    out = int((bodies[:, 0] == at).argmax())
    below = float(cycle.span_length[:, 0, into].mean())
    above = float(cycle.span_length[:, 0, out].mean())
    return _Places(nock, below, above)


def _serving_name(serving: str) -> str:
    return f"serving, {serving}"


def _items(job: Job, plan: Plan, model: BowModel) -> tuple[Item, ...]:
    """Everything between the places where the string leaves the wheels at brace."""
    places, length = _places(job, plan, model), plan.target.length.value
    thread = sum(s.mass.value for s in plan.servings)
    tied = sum(m.mass.si for m in job.line.marks if m.mass is not None)
    bare = max(plan.mass.value - thread - tied, 0.0)
    found = [Item("bare string", bare * (places.below + places.above) / length, -1.0, 1.0)]
    for serving in plan.servings:
        ends = serving.start.value, serving.stop.value
        item = places.served(_serving_name(serving.name), serving, *ends)
        if item is not None:
            found.append(item)
    # A plan's marks lie in order along the line; a job's as they were written.
    masses = {spec.name: spec.mass for spec in job.line.marks}
    for mark in plan.marks:
        place, mass = places.along(mark.position.value), masses.get(mark.name)
        if mass is not None and abs(place) < 1.0:
            found.append(Item(mark.name, mass.si, place))
    return tuple(found)
