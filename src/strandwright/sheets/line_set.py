"""The sheets of a set: a cover with its lists, then the sheet of each line."""

from __future__ import annotations

from typing import Any

from strandwright.planning.cautions import DEFER
from strandwright.planning.sets.data import bow_name, schedule_data, writing_of
from strandwright.planning.sets.pictures import set_pictures
from strandwright.planning.sets.result import Check, CutList, PlannedSet, SetChance
from strandwright.planning.sets.words import chance_said, order_said, pair_said, shared_said
from strandwright.planning.written import Written
from strandwright.sheets.data import qr_code, sheet_data
from strandwright.sheets.prose import prose, words
from strandwright.sheets.records import Pen, count, identifier
from strandwright.sheets.render import render_together

#: Template that new covers are printed by.
TEMPLATE = "set_1"
#: Sizes the strips are drawn at, so that their lettering can be read once they are set [px]
_STRIP_WIDTH = 900.0

Section = dict[str, Any]


def set_sheet_data(found: PlannedSet) -> Section:
    """Gather everything that is printed of a set.

    Parameters
    ----------
    found : PlannedSet
        The set with its plans.

    Returns
    -------
    dict
        JSON-ready: ``cover`` and ``lines``, the data of each line's sheet; each number is a
        record, as on the bench sheet.
    """
    return {"cover": _cover(found), "lines": [sheet_data(plan) for plan in found.plans]}


def render_set(data: Section) -> bytes:
    """Print a set from its stored data.

    Parameters
    ----------
    data : dict
        As :func:`set_sheet_data` gave it.

    Returns
    -------
    bytes
        A PDF, the cover first; the same data gives the same bytes.

    Raises
    ------
    SheetError
        If a template is not known, or a page cannot be set.
    """
    return render_together([data["cover"], *data["lines"]])


def _cover(found: PlannedSet) -> Section:
    to = writing_of(found)
    pen = Pen(to)
    paper = found.plans[0].job.paper.size if found.plans else "letter"
    return {
        "template": TEMPLATE,
        "paper": paper,
        "id": identifier(found.line_set.id),
        "name": words(found.line_set.name),
        "bow": words(bow_name(found)),
        "qr": qr_code(f"strandwright set {found.line_set.id}"),
        "strips": [
            {
                "job": identifier(picture.job),
                "svg": "\n".join(words(line) for line in picture.svg.splitlines()),
                "share": picture.width / widest,
                "indent": picture.indent / widest,
            }
            for picture, widest in _pictures(found)
        ],
        "lines": [_line(plan, Pen(Written.on(plan.job.paper))) for plan in found.plans],
        "unplanned": [{"job": identifier(u.job), "said": prose(u.said)} for u in found.unplanned],
        "orders": [
            {
                "bench": words(order.bench),
                "lines": [
                    {"job": identifier(job), "posts": pen.length(posts) | {"text": to.fine(posts)}}
                    for job, posts in zip(order.jobs, order.posts, strict=True)
                ],
                "said": [prose(text) for text in order_said(order, to)],
            }
            for order in found.orders
        ],
        "misfits": [
            prose(f"{fit.job} does not fit the {fit.bench}: {fit.said}")
            for fit in found.fits
            if not fit.fits
        ],
        "cut": _cut(found.cut, pen),
        "time": _time(found),
        "checks": [_check(c) for c in (*found.checks, *(c for p in found.pairs for c in p.checks))],
        "pairs": [
            prose(f"pair of {pair.one} and {pair.other}: {pair_said(pair, to)}")
            for pair in found.pairs
        ],
        "chance": None
        if found.chance is None
        else prose(_chance(found.chance, to, some_built=bool(found.built))),
        "deferral": DEFER,
    }


def _pictures(found: PlannedSet) -> list[tuple[Any, float]]:
    pictures = set_pictures(found.plans, _STRIP_WIDTH, "print")
    widest = max((p.width + p.indent for p in pictures), default=1.0)
    return [(picture, widest) for picture in pictures]


def _line(plan: Any, pen: Pen) -> Section:
    return {
        "job": identifier(plan.job.id),
        "line": words(plan.job.line.name),
        "length": pen.length(plan.target.length.value),
        "posts": pen.estimate(plan.winding.posts_outside),
        "strands": count(plan.winding.strands),
        "turns": count(plan.twist.turns),
        "hand": plan.twist.hand,
        "chance": prose(pen.written.chance(plan.landing.chance_first)),
    }


def _cut(cut: CutList, pen: Pen) -> Section:
    return {
        "fibres": [
            {
                "strand": words(f.strand),
                "lot": words(f.lot),
                "name": words(f.name),
                "colour": f.colour,
                "length": pen.thread(f.length),
                "mass": pen.estimate(f.mass),
                "spool": pen.share(f.spool),
                "jobs": identifier(", ".join(f.jobs)),
            }
            for f in cut.fibres
        ],
        "threads": [
            {
                "thread": identifier(words(t.thread)),
                "colour": t.colour,
                "length": pen.thread(t.length),
                "bobbins": count(t.bobbins),
                "jobs": identifier(", ".join(t.jobs)),
            }
            for t in cut.threads
        ],
        "parts": [
            {
                "name": words(p.name),
                "count": count(p.count),
                "mass": prose(pen.written.mass(p.mass)),
                "jobs": identifier(", ".join(p.jobs)),
            }
            for p in cut.parts
        ],
        "spool": prose(f"A full spool is taken to hold {pen.written.mass(cut.spool_mass)}: "
                       f"{cut.spool_source}."),
    }  # fmt: skip


def _time(found: PlannedSet) -> Section:
    told = schedule_data(found.schedule)
    total = (
        f"All lines take {told['total_text']}, {told['one_by_one_text']} one by one; hands are at "
        f"work for {told['hands_text']}."
    )
    return {
        "total": prose(total),
        "caution": prose(told["caution"], caution=True),
        "said": [prose(text) for text in told["said"]],
        "source": prose(f"{told['source'][:1].upper()}{told['source'][1:]}."),
    }


def _chance(chance: SetChance, to: Written, *, some_built: bool) -> str:
    said, shared = chance_said(chance, to, some_built=some_built), shared_said(chance, to)
    return f"{said}. {shared[:1].upper()}{shared[1:]}" if shared else said


def _check(check: Check) -> Section:
    return {
        "of": words(check.of),
        "verdict": check.verdict,
        "said": prose(check.said),
        "remedy": prose(check.remedy),
    }
