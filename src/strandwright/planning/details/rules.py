"""Rules: what competition rules say of a string, and what a job shows of it.

The rules are those of an international association and of clubs that copied them; where each was
read stands beside it. Nothing here says that a string may be shot: that is the judge's to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from strandwright.planning.details.marks import kind_of_mark, marks_of, nock_of
from strandwright.planning.details.straighten import is_lower_end
from strandwright.planning.result import MarkPlan, Plan
from strandwright.planning.written import Written
from strandwright.reference import practice

Finding = Literal["nothing against it", "against it", "look for yourself"]
#: Locators of one nocking point lie nearer together than this [m]
_ONE_POINT = 0.02
#: How far beyond where the eye may be a serving must end, not to end before it [m]
_BESIDE = 0.0127

RECURVE = "an international association's article on the recurve's string, from a copy"
COMPOUND = "a club's rule for compound bows, which repeats an international association's"
FLATBOW = "a club's rule for flatbows, which repeats a national association's"
MEMORY = "from memory, medium trust: read your rule book"
BAREBOW = "an international association's news of a rule in force since October 2020"
ASK = "Rules change, and the judge of your contest decides: read the rule book and ask the judge"


@dataclass(frozen=True)
class RuleSeen:
    """One rule, and what the job shows of it.

    Attributes
    ----------
    rule : str
        What it says.
    source : str
        Where it was read.
    finding : str
        ``nothing against it``, ``against it`` or ``look for yourself``.
    seen : str
        What the job shows.
    """

    rule: str
    source: str
    finding: Finding
    seen: str


Check = Callable[[Plan, Written], Iterator[RuleSeen]]


def rules_seen(plan: Plan) -> tuple[RuleSeen, ...]:
    """Hold a string to the rules of the class the job names.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of RuleSeen
        Rule by rule; none for a cable, or where the job names no class.
    """
    named = plan.job.bow.rules
    if named is None or plan.job.line.kind != "string":
        return ()
    to = Written.on(plan.job.paper)
    return tuple(seen for check in _CHECKS[named] for seen in check(plan, to))


def _bow_of_class(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    del to
    job = plan.job
    kinds = {
        "recurve": ("recurve",),
        "barebow": ("recurve",),
        "compound": ("one-cam", "two-cam", "hybrid-cam"),
    }.get(job.bow.rules or "", ("longbow", "recurve"))
    fits = job.bow.kind in kinds
    yield RuleSeen(
        f"the bow is one of the class '{job.bow.rules}'",
        "what the class is called",
        "look for yourself" if fits else "against it",
        f"the job's bow is a {job.bow.kind}" + ("; the rest is not in the job" if fits else ""),
    )


def _free_make(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    del to
    makeup = plan.job.makeup
    colours = ", ".join(run.name for run in plan.winding.runs)
    yield RuleSeen(
        "any number of strands, of any colours and material, with a loop at each end",
        RECURVE,
        "nothing against it",
        f"{makeup.strands} strands, colours {colours}, two loops",
    )


def _one_nocking_point(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    rule = "one nocking point, of one or two locators, with extra serving if wished"
    found = marks_of(plan, "nocking point")
    if not found:
        yield RuleSeen(rule, RECURVE, "look for yourself", "no nocking point is marked")
        return
    apart = found[-1].position.value - found[0].position.value
    against = len(found) > 2 or apart > _ONE_POINT
    seen = f"{len(found)} marked"
    if len(found) > 1:
        seen += f", {to.length(apart)} from first to last"
    yield RuleSeen(rule, RECURVE, "against it" if against else "nothing against it", seen)


def _one_lip_mark(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    del to
    found = marks_of(plan, "button")
    finding: Finding = "against it" if len(found) > 1 else "nothing against it"
    yield RuleSeen("one lip or nose mark", RECURVE, finding, _named(found))


def _no_lip_mark(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    del to
    found = marks_of(plan, "button")
    finding: Finding = "against it" if found else "nothing against it"
    yield RuleSeen("no lip or nose mark", FLATBOW, finding, _named(found))


def _no_peep(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    del to
    found = marks_of(plan, "peep")
    finding: Finding = "against it" if found else "nothing against it"
    rule = "no peep, no lens and no aiming mark in or on the string"
    yield RuleSeen(rule, RECURVE, finding, _named(found))
    loops = marks_of(plan, "string loop")
    if loops:
        rule = "a string loop is named among what a compound's string may carry, and not here"
        yield RuleSeen(rule, COMPOUND, "against it", _named(loops))
    other = tuple(m for m in plan.marks if _kind(plan, m) in ("other", "weight", "silencer"))
    if other:
        rule = "nothing else on the string that could help to aim"
        yield RuleSeen(rule, RECURVE, "look for yourself", _named(other))


def _kind(plan: Plan, mark: MarkPlan) -> str:
    return next(kind_of_mark(spec) for spec in plan.job.line.marks if spec.name == mark.name)


def _attachments(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    del to
    yield RuleSeen(
        "a peep, what holds it in line, a string loop and a lip mark may be on the string",
        COMPOUND,
        "look for yourself" if any(_kind(plan, m) == "other" for m in plan.marks)
        else "nothing against it",
        _named(plan.marks),
    )  # fmt: skip


def _peak_weight(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    most, weight = practice("rules.compound_weight").value, plan.job.bow.draw_weight
    rule = f"peak draw weight of {to.force(most)} at most"
    if weight is None:
        yield RuleSeen(rule, COMPOUND, "look for yourself", "the job gives no draw weight")
        return
    over = weight.si > most * (1.0 + 1e-9)
    finding: Finding = "against it" if over else "nothing against it"
    seen = f"{weight.text} in the job; the scale of the contest decides"
    yield RuleSeen(rule, COMPOUND, finding, seen)


def _serving_out_of_sight(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    barebow = plan.job.bow.rules == "barebow"
    yield from _served_ends(
        plan,
        to,
        "the top of the centre serving must not end within the archer's vision at full draw"
        if barebow
        else "the serving must not end within the archer's vision at full draw",
        BAREBOW if barebow else RECURVE,
    )


def _served_ends(plan: Plan, to: Written, rule: str, source: str) -> Iterator[RuleSeen]:
    """Hold the upper end of the centre serving against where the eye is at full draw."""
    centre = [s for s in plan.servings if s.use == "centre"]
    nock = nock_of(plan)
    ends = plan.job.line
    lower = is_lower_end(ends.zero_end.name, ends.far_end.name)
    if not centre or nock is None or lower is None:
        why = "needs a centre serving, a nocking point and ends named upper and lower"
        yield RuleSeen(rule, source, "look for yourself", why)
        return
    at = nock.position.value
    tops = [(s.stop.value - at) if lower else (at - s.start.value) for s in centre]
    over = max(tops)
    row = practice("tie.peep.height")
    low, high = (row.value if v is None else v for v in (row.low, row.high))
    near = low - _BESIDE <= over <= high + _BESIDE
    yield RuleSeen(
        rule,
        source,
        "look for yourself" if near else "nothing against it",
        f"it ends {to.length(over)} over the nocking point; the eye is usually "
        f"{to.length(low)} to {to.length(high)} over it: "
        + ("draw it and look" if near else "clear of it, as far as anchors go; draw it and look"),
    )


def _silencers_far(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    least = practice("rules.silencer_distance").value
    source = FLATBOW if plan.job.bow.rules == "flatbow" else MEMORY
    rule = f"string silencers no nearer to the nocking point than {100.0 * least:.0f} cm"
    found, nock = marks_of(plan, "silencer"), nock_of(plan)
    if nock is None:
        yield RuleSeen(rule, source, "look for yourself", "no nocking point is marked")
        return
    if not found:
        seen = "no silencer is marked; measure to any that is put on"
        yield RuleSeen(rule, source, "look for yourself", seen)
        return
    nearest = min(abs(m.position.value - nock.position.value) for m in found)
    finding: Finding = "against it" if nearest < least else "nothing against it"
    yield RuleSeen(rule, source, finding, f"the nearest is {to.length(nearest)} from it")


def _pressure_point(plan: Plan, to: Written) -> Iterator[RuleSeen]:
    del to
    compound = plan.job.bow.rules == "compound"
    far = 6 if compound else 4
    yield RuleSeen(
        f"the pressure point of the rest lies {far} cm at most behind the pivot of the grip",
        COMPOUND if compound else RECURVE,
        "look for yourself",
        "the job says nothing of the rest",
    )


def _named(marks: tuple[MarkPlan, ...]) -> str:
    return ", ".join(mark.name for mark in marks) + " marked" if marks else "none is marked"


_AS_RECURVE: tuple[Check, ...] = (
    _bow_of_class,
    _free_make,
    _one_nocking_point,
    _one_lip_mark,
    _no_peep,
    _serving_out_of_sight,
    _pressure_point,
)
_WOODEN: tuple[Check, ...] = (_bow_of_class, _silencers_far)
_CHECKS: dict[str, tuple[Check, ...]] = {
    "recurve": _AS_RECURVE,
    "barebow": (_bow_of_class, _serving_out_of_sight),
    "compound": (_bow_of_class, _free_make, _attachments, _peak_weight, _pressure_point),
    "flatbow": (_bow_of_class, _no_lip_mark, _silencers_far),
    "longbow": _WOODEN,
    "traditional": _WOODEN,
}
