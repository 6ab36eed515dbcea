"""Marks: what sits at each marked place, what it weighs, how it is tied on."""

from __future__ import annotations

import re
from dataclasses import dataclass

from strandwright.bow.string_mass import Item
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import MarkPlan, Plan
from strandwright.reference import has_practice, practice
from strandwright.workshop.parts import MarkKind, MarkSpec

#: Words by which a name tells what sits there; the first that fits counts.
_WORDS: tuple[tuple[str, MarkKind], ...] = (
    (r"peep", "peep"),
    (r"silencer", "silencer"),
    (r"loop", "string loop"),
    (r"nock", "nocking point"),
    (r"weight", "weight"),
    (r"button|tassel|lip mark|nose mark", "button"),
    (r"stop", "stop"),
    (r"centre|center|middle", "centre"),
)


@dataclass(frozen=True)
class TiedMark:
    """A mark with what sits there.

    Attributes
    ----------
    name : str
        What the technician calls it.
    kind : str
        What sits there.
    position : Estimate
        On the finished line, from its zero end [m]
    mass : Estimate
        What it weighs; 0 for a place that is only marked [kg]
    is_usual : bool
        True where the job gives no mass and a usual one stands in for it.
    source : str
        Where the mass comes from; empty where nothing sits there.
    weight : float or None
        Share of its mass that counts on the arrow; None for a cable [-]
    """

    name: str
    kind: MarkKind
    position: Estimate
    mass: Estimate
    is_usual: bool
    source: str
    weight: float | None

    @property
    def as_arrow(self) -> Estimate | None:
        """Mass on the arrow that costs as much speed; None for a cable [kg]."""
        if self.weight is None:
            return None
        return Estimate(self.weight * self.mass.value, self.weight * self.mass.u, "kg")


def kind_of_mark(mark: MarkSpec) -> MarkKind:
    """Tell what sits at a mark: as the job says, or by its name where that is plain.

    Parameters
    ----------
    mark : MarkSpec
        The mark.

    Returns
    -------
    str
        Its kind; ``other`` where nothing tells.
    """
    if mark.kind is not None:
        return mark.kind
    name = mark.name.lower()
    for word, kind in _WORDS:
        if re.search(word, name):
            return kind
    return "other"


def usual_mass(kind: MarkKind) -> Estimate:
    """Give what such a thing usually weighs.

    Parameters
    ----------
    kind : str
        What it is.

    Returns
    -------
    Estimate
        Its mass; 0 for a place that is only marked [kg]
    """
    key = f"mark.{kind.replace(' ', '-')}.mass"
    if not has_practice(key):
        return Estimate(0.0, 0.0, "kg")
    row = practice(key)
    return Estimate(row.value, row.standard_uncertainty, "kg")


def marks_of(plan: Plan, kind: MarkKind) -> tuple[MarkPlan, ...]:
    """Give the marks of one kind, in order along the line.

    Parameters
    ----------
    plan : Plan
        The line.
    kind : str
        Which kind.

    Returns
    -------
    tuple of MarkPlan
        The marks.
    """
    kinds = {mark.name: kind_of_mark(mark) for mark in plan.job.line.marks}
    return tuple(mark for mark in plan.marks if kinds.get(mark.name) == kind)


def nock_of(plan: Plan) -> MarkPlan | None:
    """Give the mark of the nocking point, the middle one of several.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    MarkPlan or None
        None where the job marks none.
    """
    found = marks_of(plan, "nocking point") or marks_of(plan, "string loop")
    return found[len(found) // 2] if found else None


def tied_marks(plan: Plan) -> tuple[TiedMark, ...]:
    """Give every mark of a line with what sits there.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    tuple of TiedMark
        In order along the line.

    Notes
    -----
    The half strings are taken from the nocking point, or from the middle where none is marked, to
    the ends of the line: the wheels a string lies on at brace are not known here, so what sits
    near a wheel counts a little more than on the bow itself.
    """
    specs = {mark.name: mark for mark in plan.job.line.marks}
    return tuple(_tied(specs[mark.name], mark, plan) for mark in plan.marks)


def _tied(spec: MarkSpec, mark: MarkPlan, plan: Plan) -> TiedMark:
    kind = kind_of_mark(spec)
    usual = usual_mass(kind)
    if spec.mass is not None:
        mass = Estimate(spec.mass.si, spec.mass.standard_uncertainty or 0.0, "kg")
        source = "as the job gives it"
    else:
        mass, source = usual, "usual, common practice" if usual.value > 0.0 else ""
    is_usual = spec.mass is None and usual.value > 0.0
    weight = _weight(mark.position.value, plan) if plan.job.line.kind == "string" else None
    return TiedMark(mark.name, kind, mark.position, mass, is_usual, source, weight)


def _weight(position: float, plan: Plan) -> float:
    """Share of a mass at a place of the string that counts on the arrow."""
    length = plan.target.length.value
    nock = nock_of(plan)
    middle = 0.5 * length if nock is None else nock.position.value
    off = position - middle
    share = off / (length - middle if off > 0.0 else middle)
    return Item("there", 1.0, max(-1.0, min(1.0, share))).weight
