"""Sections of a laid-in line: what to cut, how to lay it, the second loop's marks, the hold."""

from __future__ import annotations

from strandwright.planning.details.section import DetailSection, Row
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.result.laid import CutBundle, CutList, Hold, LaidEnd, LaidIn, LaidRope
from strandwright.planning.written import Written

#: Factors of hold over this rest on their assumptions alone and are not told as numbers [-]
MOST_TOLD = 5.0
_DEGREE = 57.29577951308232


def laid_sections(plan: Plan, to: Written) -> tuple[DetailSection, ...]:
    """Give the sections of a laid-in line.

    Parameters
    ----------
    plan : Plan
        The plan.
    to : Written
        How numbers are written.

    Returns
    -------
    tuple of DetailSection
        Cut list, laying, marks, hold; none for a line that is wound.
    """
    laid = plan.laid
    if laid is None:
        return ()
    return (
        _cut(laid.cut, to),
        _lay(laid, to),
        _marks(plan, laid, to),
        _hold(laid.hold, to),
    )


def _cut(cut: CutList, to: Written) -> DetailSection:
    rows: list[Row] = [_bundle(bundle, cut, to) for bundle in cut.bundles]
    rows.append(
        (
            "board",
            cut.board,
            f"each strand of a tail ends {to.length(cut.step)} before the next: it fades out over "
            f"{to.length(cut.taper)}",
        )
    )
    rows.append(("longest strand", to.estimate(cut.needed), f"cut {to.length(cut.longest)}"))
    rows.append(
        ("fibre in all", to.long(Estimate(cut.fibre, 0.0, "m")), f"{to.estimate(cut.mass)}, waxed")
    )
    rows += [
        ("common practice", to.length(one.length), one.name + (": far off" * one.far_off))
        for one in cut.sums
    ]
    return DetailSection("laid-cut", "Bundles to cut", tuple(rows))


def _bundle(bundle: CutBundle, cut: CutList, to: Written) -> Row:
    colours = ", ".join(
        str(one.strands) if one.name == "all" else f"{one.strands} {one.name}"
        for one in bundle.shares
    )
    lengths = list(dict.fromkeys(bundle.lengths))
    if len(lengths) == 1:
        told = f"all {to.length(lengths[0])}"
        if cut.board == "two nails":
            told += f", each drawn {to.length(cut.step)} past the one before"
    else:
        told = ", ".join(to.length(length) for length in lengths)
    return (f"bundle {bundle.number}", f"{colours} strands", told)


def _lay(laid: LaidIn, to: Written) -> DetailSection:
    rows = [
        _rope("in the loops", laid.loop, laid, to),
        _rope("in the married parts", laid.married, laid, to),
        *(_end(end, to) for end in laid.ends),
    ]
    return DetailSection(
        "laid-lay",
        "Laying in by hand",
        tuple(rows),
        (
            f"each bundle is turned {laid.by_hand} by hand and the bundles laid {laid.hand}, so "
            f"that the turns of the string, {laid.hand}, tighten the lay",
            "turns by hand are those whose lay balances them without friction; by hand somewhat "
            "more are needed for the same lay",
        ),
    )


def _rope(where: str, rope: LaidRope, laid: LaidIn, to: Written) -> Row:
    return (
        where,
        f"{to.rate(rope.by_hand)} by hand, {laid.by_hand}",
        f"{to.rate(rope.lay)} of lay, {rope.angle * _DEGREE:.0f}° to the axis, "
        f"{to.small_estimate(rope.diameter)} thick",
    )


def _end(end: LaidEnd, to: Written) -> Row:
    return (
        f"{end.name} loop",
        f"begin {to.length(end.tail)} from the longest strand's end",
        f"{to.length(end.size)} inside, laid flat; {to.length(end.round)} round with about "
        f"{end.turns:.0f} turns of lay, of {to.length(end.loop)} of bundle; then "
        f"{to.length(end.married)} married",
    )


def _marks(plan: Plan, laid: LaidIn, to: Written) -> DetailSection:
    marks = laid.marks
    rows = (
        ("the married part ends", to.estimate(marks.body_ends), ""),
        ("the loop closes", to.estimate(marks.throat), ""),
        ("the loop's middle", to.estimate(marks.fold), ""),
        ("the loop begins", to.estimate(marks.begin), ""),
        (
            "1/4 in at the marks",
            f"{to.fine(marks.quarter)} of string",
            f"{marks.turns:.0f} turns take as much up" if marks.turns < 100.0 else "",
        ),
    )
    pull = to.estimate(plan.winding.load)
    return DetailSection(
        "laid-marks",
        "Where the second loop lies",
        rows,
        (
            "from the outside of the first peg along the bundles, untwisted and pulled straight "
            f"by hand with {pull}",
        ),
    )


def _hold(hold: Hold, to: Written) -> DetailSection:
    needed = to.length(hold.needed) if hold.needed < 100.0 else "no length is enough"
    factor = (
        f"more than {MOST_TOLD:g} times" if hold.factor > MOST_TOLD else f"{hold.factor:.1f} times"
    )
    rows = (
        ("married", to.length(hold.married), "long enough" if hold.is_enough else "too short"),
        (
            f"for {hold.wanted:g} times the load",
            needed,
            f"by the lay alone; with the bundles' own turns, not counted on, "
            f"{to.length(hold.with_turns)}"
            if hold.with_turns < 100.0
            else "by the lay alone",
        ),
        (
            "holds",
            factor,
            f"what a tail brings in at the throat, {to.force(hold.tail)} of "
            f"{to.estimate(hold.load)} on the line",
        ),
    )
    return DetailSection(
        "laid-hold",
        "How the married parts hold",
        rows,
        (
            f"by dry friction, {hold.friction:g} of waxed strand on strand, from memory; "
            f"{to.share(hold.cover)} of the standing strands' pressure is taken to pass through a "
            f"tail that fades out over {to.share(hold.taper)} of the married part",
            "no published hold of such a splice was found: it compares splices, it does not prove "
            "one; wax that sticks is left out",
        ),
    )
