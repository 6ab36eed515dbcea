"""What a string and the things on it cost in arrow speed."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.bow.item_cost import ItemCost, cost_of
from strandwright.bow.launch import Shot, arrow_speed, speed_uncertainty
from strandwright.bow.near_wheel import NearWheel
from strandwright.bow.speed_reading import SpeedReading, fit_virtual_mass
from strandwright.bow.string_mass import Item
from strandwright.bow.virtual_mass import VirtualMass, virtual_mass
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.touched import lane_of
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.reference import practice
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
        own = fit_virtual_mass(own, [reading]).virtual
    bare = Shot(joules, arrow, own, hysteresis=loss)
    whole = Shot(joules, arrow, own, string_mass=mass, hysteresis=loss)
    reach, gain = (practice(f"launch.near_wheel.{k}").value for k in ("reach", "gain"))
    near = NearWheel(reach, gain) if model.family.strung.bow.wheels else None
    costs = cost_of(items, bare, near_wheel=near)
    speed = Estimate(float(arrow_speed(whole)), float(speed_uncertainty(whole)), "m/s")
    return Speed(speed, arrow, assumed, measured, costs)


def _sort(job: Job) -> str:
    """Sort of bow by what moves with the arrow."""
    return job.bow.kind if job.bow.kind in ("recurve", "longbow") else "compound"


def _arrow(job: Job) -> tuple[float, bool]:
    if job.bow.arrow is not None:
        return job.bow.arrow.si, False
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


def _items(job: Job, plan: Plan, model: BowModel) -> tuple[Item, ...]:
    """Everything between the places where the string leaves the wheels at brace."""
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

    def along(place: float) -> float:
        off = place - nock
        return max(-1.0, min(1.0, off / (above if off > 0 else below)))

    thread = sum(s.mass.value for s in plan.servings)
    tied = sum(m.mass.si for m in job.line.marks if m.mass is not None)
    bare = max(plan.mass.value - thread - tied, 0.0)
    found = [Item("bare string", bare * (below + above) / length, -1.0, 1.0)]
    for serving in plan.servings:
        start, stop = serving.start.value, serving.stop.value
        a, b = along(start), along(stop)
        inside = max(min(stop, nock + above) - max(start, nock - below), 0.0)
        if inside > 0 and b > a:
            name = f"serving, {serving.name}"
            found.append(Item(name, serving.mass.value * inside / (stop - start), a, b))
    for spec, mark in zip(job.line.marks, plan.marks, strict=False):
        place = along(mark.position.value)
        if spec.mass is not None and abs(place) < 1.0:
            found.append(Item(mark.name, spec.mass.si, place))
    return tuple(found)
