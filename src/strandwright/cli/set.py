"""The command ``set``: all lines of a bow planned together."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.store_option import store_option

if TYPE_CHECKING:
    from strandwright.planning.sets.result import PlannedSet

Fields = dict[str, Any]
#: How a verdict is marked.
_MARKS = {"agrees": "-", "not said": "?", "differs": "!"}


@click.command("set", short_help="Plan all lines of a bow together.")
@click.argument("files", metavar="FILE...", nargs=-1, required=True)
@click.option(
    "--pair",
    "pairs",
    nargs=2,
    multiple=True,
    metavar="JOB JOB",
    help="With job files: two lines that are to be alike. May be given several times.",
)
@click.option("--sheet", is_flag=True, help="Write the sheets of all lines as one PDF as well.")
@click.option(
    "-o", "--output", metavar="PDF", help="With --sheet: where to; left out, named after the set."
)
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print the answers as JSON.")
def command(
    files: tuple[str, ...],
    pairs: tuple[tuple[str, str], ...],
    sheet: bool,
    output: str | None,
    place: str | None,
    as_json: bool,
) -> None:
    """Plan all lines of a bow together: what they take, in which order, and how they agree.

    FILE is a set file that names the lines' jobs, or their job files one by one, or the id of a
    set that is kept. Lines of a set file without a file of their own are jobs that are kept.

    It prints one cut list, the order of winding that changes least, the time on the bench, in
    what the lines do not agree, matched pairs, the chance that all of them land, and what to heed.
    """
    from strandwright.cli.files import output_file, write_whole
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.set_files import planned_from
    from strandwright.errors import SpecError
    from strandwright.planning.sets.data import set_data

    if output is not None and not sheet:
        remedy = "add --sheet, or leave it out"
        raise SpecError("--output", output, "goes with --sheet alone", remedy)
    found = planned_from(files, pairs, place)
    default = Path(f"{found.line_set.id}-set.pdf")
    path = output_file(output, default, files[0]) if sheet else None
    told = set_data(found)
    if as_json:
        say_json(told)
    else:
        say(lines_of(told))
    if path is not None:
        write_whole(path, _pdf(found))
        click.echo(f"wrote {path}", err=as_json)


def _pdf(found: PlannedSet) -> bytes:
    from strandwright.sheets.line_set import render_set, set_sheet_data

    return render_set(set_sheet_data(found))


def lines_of(told: Fields) -> list[str]:
    """Write what a set says."""
    return [
        f"{told['name']}   [{told['id']}]",
        *_lines(told),
        *_orders(told),
        *_cut(told["cut"]),
        *_time(told["schedule"]),
        *_agreement(told),
        *_chance(told),
        *_cautions(told),
    ]


def _lines(told: Fields) -> list[str]:
    from strandwright.cli.layout import columns, heading, paragraph

    head = ("job", "line", "finished", "posts", "strands", "turns", "right at first proof")
    rows = [
        (
            row["job"], row["line"], row["length_text"], row["posts_text"],
            str(row["strands"]), row["turns_text"], row["chance_first_text"],
        )
        for row in told["lines"]
    ]  # fmt: skip
    said = [f"  {told['bow']}"] if told["bow"] else []
    said += [*heading("Lines"), *columns(head, rows)]
    for row in told["unplanned"]:
        said += paragraph(f"{row['job']} is left out: {row['said']}", mark="!")
    for row in told["lines"]:
        for warning in row["warnings"]:
            said += paragraph(f"{row['job']}: {warning}", mark="!")
    return said


def _orders(told: Fields) -> list[str]:
    from strandwright.cli.layout import columns, heading, paragraph

    said = heading("Order of winding")
    for order in told["orders"]:
        said.append(f"  on the {order['bench']}")
        rows = [(str(n), row["job"], row["posts_text"]) for n, row in enumerate(order["lines"], 1)]
        said += columns(("no", "job", "posts, outside to outside"), rows)
        for sentence in order["said"]:
            said += paragraph(sentence, mark="-")
        if order["said"]:
            said += paragraph(f"how long these take is {order['source']}", indent="    ")
    for job in told["by_hand"]:
        said += paragraph(f"{job} is cut and laid in by hand: it is not wound", mark="-")
    misfits = [fit for fit in told["fits"] if not fit["fits"]]
    for fit in misfits:
        said += paragraph(f"{fit['job']} does not fit the {fit['bench']}: {fit['said']}", mark="!")
    if not misfits and told["fits"]:
        benches = dict.fromkeys(fit["bench"] for fit in told["fits"])
        said += paragraph(f"every line fits {' and '.join(f'the {b}' for b in benches)}", mark="-")
    return said


def _cut(cut: Fields) -> list[str]:
    from strandwright.cli.layout import columns, heading, paragraph

    fibres = [
        (
            f["strand"], f["lot"] or "-", f["name"], f["length_text"], f["mass_text"],
            f["spool_text"], ", ".join(f["jobs"]),
        )
        for f in cut["fibres"]
    ]  # fmt: skip
    threads = [
        (t["thread"], t["colour"], t["length_text"], str(t["bobbins"]), ", ".join(t["jobs"]))
        for t in cut["threads"]
    ]
    parts = [
        (p["name"], str(p["count"]), p["mass_text"], ", ".join(p["jobs"])) for p in cut["parts"]
    ]
    said = heading("Cut list")
    said += columns(("fibre", "lot", "colour", "strand", "mass", "of a spool", "for"), fibres)
    said += paragraph(f"a full spool is taken to hold {cut['spool_text']}: {cut['spool_source']}")
    if threads:
        said += ["", *columns(("thread", "colour", "length", "bobbins", "for"), threads)]
    if parts:
        said += ["", *columns(("small part", "count", "mass", "for"), parts)]
    return said


def _time(schedule: Fields) -> list[str]:
    from strandwright.cli.layout import heading, paragraph, rows

    said = heading("Time")
    said += rows(
        [
            ("all lines", schedule["total_text"]),
            ("one by one", schedule["one_by_one_text"]),
            ("hands at work", schedule["hands_text"]),
        ]
    )
    for sentence in (schedule["until"], schedule["uncounted"], *schedule["said"]):
        said += paragraph(sentence, mark="-") if sentence else []
    if schedule["caution"]:
        said += paragraph(schedule["caution"], mark="!")
    return said + paragraph(schedule["source"])


def _agreement(told: Fields) -> list[str]:
    from strandwright.cli.layout import heading, paragraph

    checks = [*told["checks"], *(check for pair in told["pairs"] for check in pair["checks"])]
    if not checks:
        return []
    said = heading("Agreement")
    for check in checks:
        remedy = f"; {check['remedy']}" if check["remedy"] else ""
        text = f"{check['of']}: {check['said']}{remedy}"
        said += paragraph(text, mark=_MARKS[check["verdict"]])
    for pair in told["pairs"]:
        said += paragraph(f"pair of {pair['one']} and {pair['other']}: {pair['said']}", mark="-")
    return said


def _chance(told: Fields) -> list[str]:
    from strandwright.cli.layout import heading, paragraph

    if told["chance"] is None:
        return []
    said = heading("How surely")
    for sentence in (told["chance"]["said"], told["chance"]["shared_said"]):
        said += paragraph(sentence, mark="-") if sentence else []
    return said


def _cautions(told: Fields) -> list[str]:
    from strandwright.cli.layout import heading, paragraph

    if not told["cautions"]:
        return []
    said = heading("Take care")
    for caution in told["cautions"]:
        said += paragraph(caution["said"], mark="!")
        said += paragraph(caution["where"], indent="    ")
    return said + paragraph(told["deferral"])
