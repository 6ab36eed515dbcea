"""Sections: the details of a line in words and rows, the same for screen, sheet and command."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.planning.crossbow.sections import crossbow_sections
from strandwright.planning.details.braced import braced_places
from strandwright.planning.details.marks import TiedMark, nock_of, tied_marks
from strandwright.planning.details.peep_words import peep_rows
from strandwright.planning.details.rules import ASK, rules_seen
from strandwright.planning.details.section import DetailSection, Row
from strandwright.planning.details.separator import separator_cut
from strandwright.planning.details.ties import tie_said
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.sections import laid_sections
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.planning.yoke.sections import yoke_sections


def detail_sections(plan: Plan) -> tuple[DetailSection, ...]:
    """Give the details of a line that have anything to say.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of DetailSection
        The yoke, peep, marks, tying on the strung bow, separator, rules.
    """
    to = Written.on(plan.job.paper)
    found = [
        *laid_sections(plan, to),
        *yoke_sections(plan, to),
        *crossbow_sections(plan, to),
        *_peeps(plan, to),
        *_marks(plan, to),
        *_tying(plan, to),
        *_separator(plan, to),
        *_rules(plan),
    ]
    return tuple(found)


def _peeps(plan: Plan, to: Written) -> Iterator[DetailSection]:
    for answer in plan.peeps:
        rows, notes = peep_rows(answer, plan, to)
        title = "The peep" if len(plan.peeps) == 1 else f"The peep '{answer.name}'"
        yield DetailSection("peep", title, rows, notes)


def _marks(plan: Plan, to: Written) -> Iterator[DetailSection]:
    marks = tied_marks(plan)
    told = [mark for mark in marks if mark.mass.value > 0.0]
    if not told:
        return
    rows = tuple((m.name, _mass(m, to), _cost(m, to)) for m in told)
    notes = (
        ("a usual mass stands in this table alone, not in the mass of the line: weigh the thing",)
        if any(m.is_usual for m in told)
        else ()
    )
    yield DetailSection("marks", "What is tied to it", rows, notes)


def _mass(mark: TiedMark, to: Written) -> str:
    text = to.estimate(mark.mass) if mark.mass.u > 0.0 else to.mass(mark.mass.value)
    return f"{text}, {mark.source}"


def _cost(mark: TiedMark, to: Written) -> str:
    felt = mark.as_arrow
    if felt is None:
        return mark.kind
    text = to.estimate(felt) if felt.u > 0.0 else to.mass(felt.value)
    return f"{mark.kind}; costs an arrow's speed as {text} on the arrow would"


def _tying(plan: Plan, to: Written) -> Iterator[DetailSection]:
    marks = tied_marks(plan)
    told = [(mark, tie_said(mark.kind, plan, to)) for mark in marks]
    rows = tuple((m.name, said, "") for m, said in told if said)
    if not rows:
        return
    yield DetailSection("tying", "Tying on the strung bow", (*rows, *_braced(plan, marks, to)))


def _braced(plan: Plan, marks: tuple[TiedMark, ...], to: Written) -> Iterator[Row]:
    """Where things lie once the line is braced, from its zero end and from the nock."""
    tied = [m for m in marks if m.kind in ("peep", "nocking point", "string loop")]
    nock = nock_of(plan)
    places = [m.position.value for m in tied] + ([nock.position.value] if nock else [])
    found = braced_places(plan, places) if tied else None
    if found is None:
        return
    at_nock = found.places[-1] if nock else None
    for mark, place in zip(tied, found.places, strict=False):
        said = f"{to.fine(mark.position.value)} on the finished line"
        if at_nock is not None and nock is not None and mark.name != nock.name:
            apart = abs(mark.position.value - nock.position.value)
            said += (
                f"; {to.fine(abs(place - at_nock))} from {nock.name} at brace, "
                f"{to.fine(apart)} finished"
            )
        yield (
            f"{mark.name} at brace",
            f"{to.fine(place)} from {plan.job.line.zero_end.name}",
            said,
        )


def _separator(plan: Plan, to: Written) -> Iterator[DetailSection]:
    cut = separator_cut(plan)
    if cut is None:
        return
    of = f" of {cut.thread}" if cut.thread else " of a strand as the line's"
    where = (
        f"lay it once from post to post after {cut.after}"
        if cut.after
        else "lay it once from post to post when half of the strands are on"
    )
    text = f"cut {to.long(Estimate(cut.length, 0.0, 'm'))}{of}, {to.mass(cut.mass)}"
    note = "it bears nothing and counts in no strands, no strength and no mass of the line"
    yield DetailSection("separator", "Separator", ((cut.name, text, where),), (note,))


def _rules(plan: Plan) -> Iterator[DetailSection]:
    found = rules_seen(plan)
    if found:
        rows = tuple((r.finding, r.rule, f"{r.seen} ({r.source})") for r in found)
        yield DetailSection("rules", f"Rules of the class '{plan.job.bow.rules}'", rows, (ASK,))
