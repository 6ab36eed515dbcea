"""The command ``convert``: a length read at one load, pins and warmth, carried to another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.files import load_job
from strandwright.errors import LimitError, SpecError

if TYPE_CHECKING:
    from strandwright.planning.conversion import ConvertedReading, ReadingCondition
    from strandwright.planning.written import Written
    from strandwright.units import Entered
    from strandwright.workshop.job import Job

#: Loop size of a cam's peg, where nobody said another.
_USUAL_LOOP = "7/8 in"


@dataclass(frozen=True)
class LineOptions:
    """What the options say of a line that has no job file."""

    strand: str | None
    strands: int | None
    turns: float | None
    loops: str | None


@click.command("convert", short_help="Carry a length from one load and pins to another.")
@click.argument("length", metavar="LENGTH")
@click.option("--from-load", default="100 lbf", show_default=True, metavar="LOAD",
              help="Load at the reading; hand-tight and unknown are loads too.")
@click.option("--from-pins", default="1/4 in", show_default=True, metavar="PIN[,PIN]",
              help="Pins or posts it was read over; two if they differ, zero end first.")
@click.option("--to-load", default="100 lbf", show_default=True, metavar="LOAD",
              help="Load wanted.")
@click.option("--to-pins", default="1/4 in", show_default=True, metavar="PIN[,PIN]",
              help="Pins wanted.")
@click.option("--from-temperature", metavar="TEMPERATURE",
              help="Temperature of line and tape at the reading.  [default: 68 degF]")
@click.option("--to-temperature", metavar="TEMPERATURE",
              help="Temperature wanted.  [default: 68 degF]")
@click.option("--job", "job_file", metavar="JOB.toml",
              help="Job file that gives make-up, loops, servings and bench.")
@click.option("--strand", metavar="NAME", help="Strand, where there is no job file.")
@click.option("--strands", type=click.IntRange(2, 200), metavar="COUNT", help="Strand count.")
@click.option("--turns", type=click.FloatRange(0, 300), metavar="COUNT",
              help="Turns in the line; left out, a usual twist is taken.")
@click.option("--loops", metavar="SIZE",
              help="Loop size: inside length of the closed loop laid flat; left out, 7/8 in is "
                   "taken and not trusted.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def command(
    length: str,
    from_load: str,
    from_pins: str,
    to_load: str,
    to_pins: str,
    from_temperature: str | None,
    to_temperature: str | None,
    job_file: str | None,
    strand: str | None,
    strands: int | None,
    turns: float | None,
    loops: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Carry a LENGTH read at one load over some pins to another load and other pins, with its +-.

    Give the line by --job, or by --strand and --strands; then it is taken as bare between its
    loops. A load read without a +- is as good as the job's gauge, or as a spring scale; the load
    wanted is the true one. Both lengths are as read soon after the load is on.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.conversion import convert_reading
    from strandwright.planning.written import Written
    from strandwright.units import Dimension, parse

    entered = parse(Dimension.LENGTH, length, field="LENGTH")
    read = _condition("from", from_load, from_pins, from_temperature)
    wanted = _condition("to", to_load, to_pins, to_temperature)
    options = LineOptions(strand, strands, turns, loops)
    job = load_job(job_file) if job_file else _plain_job(entered, options)
    to = Written.on(job.paper)
    result = convert_reading(job, entered, read, wanted)
    if as_json:
        say_json(_data(result, to))
        return
    say(_lines(entered, result, read, wanted, to))


def _condition(way: str, load: str, pins: str, temperature: str | None) -> ReadingCondition:
    """Read the options of one condition; ``way`` is from or to."""
    from strandwright.planning.conversion import ReadingCondition
    from strandwright.planning.unknowns import KELVIN_20

    pins_field = f"--{way}-pins"
    if pins.count(",") > 1:
        rule = "must be one size, or two with a comma"
        raise SpecError(pins_field, pins, rule, "write it as 1/4 in")
    sizes = [_held(pins_field, pin, "original.readings.zero_post") for pin in pins.split(",")]
    word = load.strip().lower()
    warmth = KELVIN_20
    if temperature is not None:
        place = "original.readings.temperature"
        warmth = _held(f"--{way}-temperature", temperature, place).si
    return ReadingCondition(
        load=word
        if word in ("hand-tight", "unknown")
        else _held(f"--{way}-load", load, "original.readings.load"),
        zero_pin=sizes[0].si,
        far_pin=sizes[-1].si,
        temperature=warmth,
        fields=(f"--{way}-load", pins_field, pins_field),
    )


def _held(field: str, text: str, place: str) -> Entered:
    """Read an option, and hold it to the range of that place in a job file."""
    from strandwright.planning.entries.refusals import RANGES
    from strandwright.units import parse

    allowed = RANGES[place]
    entered = parse(allowed.dimension, text, field=field)
    if not allowed.holds(entered):
        rule = f"must lie between {allowed.low} and {allowed.high}"
        raise LimitError(field, text, rule, "check the number and its unit")
    return entered


def _plain_job(length: Entered, options: LineOptions) -> Job:
    """Make the least job that has this make-up: no servings, any bench."""
    from strandwright.units import Dimension, parse
    from strandwright.workshop.job import job_from_table

    if options.strand is None or options.strands is None:
        missing = "--strand" if options.strand is None else "--strands"
        raise SpecError(missing, "nothing", "is needed without --job", "give it, or a job file")
    makeup = {"strand": options.strand, "strands": options.strands}
    original: dict[str, Any] = {"strands": [{"colour": "any", "strands": options.strands}]}
    if options.turns is not None:
        original["turns"] = options.turns
    size = options.loops or _USUAL_LOOP
    if options.loops is not None:
        parse(Dimension.LENGTH, size, field="--loops")
        original |= {"zero_loop": size, "far_loop": size}
    ends = [{"name": name, "size": size} for name in ("zero", "far")]
    table: dict[str, Any] = {
        "id": "reading",
        "name": "A reading",
        "paper": {"units": "in" if length.unit in ("in", "ft", "yd") else "mm"},
        "bow": {"kind": "two-cam"},
        "original": original,
        "line": {"name": "line", "zero_end": ends[0], "far_end": ends[1]},
        "makeup": makeup,
        "bench": {"zero_post": "1/4 in", "longest": "20 m", "gauge": "spring scale"},
    }
    return job_from_table(table)


def _lines(
    entered: Entered,
    result: ConvertedReading,
    read: ReadingCondition,
    wanted: ReadingCondition,
    to: Written,
) -> list[str]:
    from strandwright.cli.layout import columns, rows

    longer = "longer by" if result.shift.value >= 0.0 else "shorter by"
    size = abs(result.shift.value)
    shift = to.small_estimate(type(result.shift)(size, result.shift.u, "m"))
    lines = rows(
        [
            ("read", f"{entered.text} {_said(read, to)}"),
            ("is", f"{to.estimate(result.length)} {_said(wanted, to)}"),
            (longer, shift),
        ]
    )
    worth = [row for row in result.budget if row.share >= 0.01][:8]
    table = columns(
        ("what makes the \u00b1", "share", "\u00b1"),
        [
            (
                row.label or row.parameter,
                to.share(row.share),
                to.small(2.0 * row.standard_uncertainty),
            )
            for row in worth
        ],
    )
    return [*lines, "", *table] if table else lines


def _said(condition: ReadingCondition, to: Written) -> str:
    from strandwright.planning.unknowns import KELVIN_20

    load = condition.load
    held = load if isinstance(load, str) else f"at {load.text}"
    held = "at an unknown load" if held == "unknown" else held
    zero, far = to.length(condition.zero_pin), to.length(condition.far_pin)
    said = f"{held} over {zero if zero == far else f'{zero} and {far}'} pins"
    return said if condition.temperature == KELVIN_20 else f"{said} at {_warmth(condition, to)}"


def _warmth(condition: ReadingCondition, to: Written) -> str:
    from strandwright.units import Dimension, to_unit

    unit = "degF" if to.system == "in" else "degC"
    return f"{to_unit(Dimension.TEMPERATURE, condition.temperature, unit):.0f} {unit}"


def _data(result: ConvertedReading, to: Written) -> dict[str, Any]:
    return {
        "length_m": result.length.value,
        "length_plus_minus_m": result.length.u95,
        "length_text": to.estimate(result.length),
        "shift_m": result.shift.value,
        "shift_plus_minus_m": result.shift.u95,
        "shift_text": to.small_estimate(result.shift),
        "budget": [
            {
                "name": row.parameter,
                "label": row.label,
                "source": row.source,
                "share": row.share,
                "plus_minus_m": 2.0 * row.standard_uncertainty,
            }
            for row in result.budget
        ],
    }
