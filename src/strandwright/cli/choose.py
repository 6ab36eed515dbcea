"""The command ``choose``: what each strand and count would come to on this bow."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.files import load_job

if TYPE_CHECKING:
    from strandwright.planning.choose import Choice, ChoiceRow
    from strandwright.planning.written import Written


@click.command("choose", short_help="Compare strands and strand counts for a job.")
@click.argument("job_file", metavar="JOB.toml")
@click.option(
    "--count",
    "counts",
    multiple=True,
    type=click.IntRange(2, 200),
    metavar="STRANDS",
    help="A strand count to compare; may be given several times. Left out, the even ones that "
    "make sense.",
)
@click.option("--all", "every", is_flag=True, help="Show also what something speaks against.")
@click.option("--json", "as_json", is_flag=True, help="Print the rows as JSON.")
def command(job_file: str, counts: tuple[int, ...], every: bool, as_json: bool) -> None:
    """Compare strands and strand counts for the line of a job.

    Each row says how thick the line is bare and under the centre serving, how it fits nock and
    track, how near its break it rests and is drawn, how much it creeps in a month, and its mass.
    The row the job has now is marked with a star; it is always shown.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.choose import choose
    from strandwright.planning.written import Written

    job = load_job(job_file)
    choice = choose(job, counts or None)
    to = Written.on(job.paper)
    if as_json:
        say_json(_data(choice, to))
        return
    say(_lines(choice, to, every))


def _lines(choice: Choice, to: Written, every: bool) -> list[str]:
    from strandwright.cli.layout import columns, paragraph

    shown = [
        (row, index == choice.present)
        for index, row in enumerate(choice.rows)
        if every or not row.remarks or index == choice.present
    ]
    sizes = tuple(f"{what}, {to.system}" for what in ("bare", "centre", "end", "creep"))
    bare, centre, end, creep = sizes
    table = columns(
        ("", "strand", "count", bare, centre, "thread", "nock", end, "track", "rests", "drawn",
         creep, "mass"),
        [_cells(row, now, to) for row, now in shown],
    )  # fmt: skip
    lines = table or paragraph("Something speaks against every row; see them with --all.")
    for row, _ in shown:
        if row.remarks:
            name = f"{row.strand} {row.strand_count}"
            lines += paragraph(f"{name}: {', '.join(row.remarks)}", mark="!")
    lines += ["", *paragraph(_LEGEND)]
    if not every and len(shown) < len(choice.rows):
        hidden = len(choice.rows) - len(shown)
        lines += paragraph(f"{hidden} more that something speaks against: --all shows them.")
    return [*lines, *paragraph(choice.note)]


_LEGEND = (
    "Rests and drawn are over the derated break load; creep is that of the first month at rest, "
    "at 20 degrees Celsius."
)


def _cells(row: ChoiceRow, now: bool, to: Written) -> tuple[str, ...]:
    sizes = (row.bare.value, row.centre.value, row.end.value, row.creep_month)
    bare, centre, end, creep = (to.small(size).rsplit(" ", 1)[0] for size in sizes)
    return (
        "*" if now else "",
        row.strand,
        f"{row.strand_count}",
        bare,
        centre,
        row.centre_thread,
        _fit(row.nock),
        end,
        _fit(row.track),
        to.share(row.resting.value),
        to.share(row.highest.value),
        creep,
        to.mass(row.mass.value),
    )


def _fit(verdict: str) -> str:
    return {"": "-", "cannot tell": "unsure"}.get(verdict, verdict)


def _data(choice: Choice, to: Written) -> dict[str, Any]:
    return {
        "present_row": choice.present,
        "four_times_draw_weight_strands": choice.rule_of_four,
        "four_times_draw_weight_share": choice.rule_of_four_share,
        "note": choice.note,
        "rows": [_row(row, to) for row in choice.rows],
    }


def _row(row: ChoiceRow, to: Written) -> dict[str, Any]:
    fields: dict[str, Any] = {
        "strand": row.strand,
        "strands": row.strand_count,
        "centre_thread": row.centre_thread,
        "nock": row.nock,
        "end_thread": row.end_thread,
        "track": row.track,
        "derated_n": row.derated.value,
        "derated_plus_minus_n": row.derated.u95,
        "derated_text": to.estimate(row.derated),
        "creep_month_m": row.creep_month,
        "creep_warm_month_m": row.creep_warm_month,
        "resting_stress_n_per_tex": row.stress * 1e-6,
        "mass_kg": row.mass.value,
        "mass_plus_minus_kg": row.mass.u95,
        "mass_text": to.estimate(row.mass),
        "remarks": list(row.remarks),
    }
    for name, size in (("bare", row.bare), ("centre", row.centre), ("end", row.end)):
        fields[f"{name}_diameter_m"] = size.value
        fields[f"{name}_diameter_plus_minus_m"] = size.u95
        fields[f"{name}_diameter_text"] = to.small_estimate(size)
    for name, share in (
        ("resting", row.resting),
        ("highest", row.highest),
        ("release", row.release),
    ):
        # A cable has no bound at release.
        fields[f"{name}_share"] = None if share is None else share.value
        fields[f"{name}_share_plus_minus"] = None if share is None else share.u95
        fields[f"{name}_share_text"] = None if share is None else to.share_estimate(share)
    return fields
