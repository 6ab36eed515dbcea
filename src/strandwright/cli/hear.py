"""The command ``hear``: the load on a line from recordings of its pluck."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.files import load_job
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.hearing.ear import Ear
    from strandwright.planning.hearing.heard_load import Listened
    from strandwright.planning.written import Written

#: A recording of plucks is smaller [byte]
_LARGEST = 20_000_000


@click.command("hear", short_help="Tell the load on a line from recordings of its pluck.")
@click.argument("sounds", metavar="SOUND...", nargs=-1, required=True)
@click.option("--job", "job_file", metavar="JOB.toml", help="The job whose line was plucked.")
@click.option(
    "--state",
    default="proof",
    show_default=True,
    metavar="STATE",
    help="How it stood: bare, half, twisted, marking or proof, as in the plan.",
)
@click.option("--load", metavar="LOAD", help="The load that was wanted, if not that of the state.")
@click.option("--length", metavar="LENGTH", help="Without a job: free length of a bare line.")
@click.option("--mass", metavar="MASS", help="Without a job: mass of that length.")
@click.option(
    "--compare",
    is_flag=True,
    help="Compare each sound with the others: groups of as many strands each, or legs, of one "
    "length.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def command(
    sounds: tuple[str, ...],
    job_file: str | None,
    state: str,
    load: str | None,
    length: str | None,
    mass: str | None,
    compare: bool,
    as_json: bool,
) -> None:
    """Tell the load on a line from recordings of its pluck, WAV or FLAC.

    With a job, its line is heard as it stands in one of the plan's states, with its servings,
    loops, stiffness and everything that is not known of it. Without one, a bare line of
    --length and --mass between fixed ends is heard. Several plucks are taken together.

    Stand off the axis of a line under load, and never lean over it.
    """
    if job_file and (length or mass):
        rule = "must be given alone: the line's length and mass are those of the job"
        raise SpecError("--job", job_file, rule, "leave out --length and --mass, or --job")
    ear, to = _of_job(job_file, state, load) if job_file else _of_line(length, mass, load)
    listened = [(name, ear.hear(_sound(name))) for name in sounds]
    if compare:
        _compare(to, listened, as_json)
    else:
        _tell(ear, to, listened, as_json)


def _of_job(job_file: str, state: str, load: str | None) -> tuple[Ear, Written]:
    """Make the ear for the line of a job in a state."""
    from strandwright.planning.hearing.ear import ear_for
    from strandwright.planning.hearing.standing import standing_in
    from strandwright.planning.plan_line import plan_line
    from strandwright.planning.strand_stock import known_strand
    from strandwright.planning.written import Written

    job = load_job(job_file)
    plan = plan_line(job)
    states = {s.key: s for s in plan.route.stages}
    if state not in states:
        rule = "must be a state of this job's route"
        raise SpecError("--state", state, rule, f"choose {', '.join(states)}")
    target = states[state].load if load is None else _force(load)
    standing = standing_in(plan, state, target)
    return ear_for(job, known_strand(job), standing), Written.on(job.paper)


def _of_line(length: str | None, mass: str | None, load: str | None) -> tuple[Ear, Written]:
    """Make the ear for a bare line by its length and mass."""
    from strandwright.planning.hearing.bare_line import ear_for_bare_line
    from strandwright.planning.written import Written
    from strandwright.units import Dimension, parse

    if length is None or mass is None:
        rule = "must be given, or --length and --mass of a bare line"
        raise SpecError("--job", "nothing", rule, "give the job file whose line was plucked")
    long, heavy = (
        parse(Dimension.LENGTH, length, field="--length"),
        parse(Dimension.MASS, mass, field="--mass"),
    )
    target = None if load is None else _force(load)
    system = "mm" if long.unit in ("mm", "cm", "m") else "in"
    return ear_for_bare_line(long, heavy, target), Written(system, 32)


def _force(text: str) -> float:
    from strandwright.planning.entries.refusals import RANGES
    from strandwright.units import Dimension, parse

    found = parse(Dimension.FORCE, text, field="--load")
    allowed = RANGES["route.measure"]
    if not allowed.holds(found):
        rule = f"must lie between {allowed.low} and {allowed.high}"
        raise SpecError("--load", text, rule, "check the number and its unit")
    return found.si


def _sound(name: str) -> Any:
    """Read a sound file."""
    from strandwright.planning.hearing.sound_file import read_sound

    try:
        path = Path(name)
        if path.stat().st_size > _LARGEST:
            raise SpecError("sound", name, "must be under 20 MB", "cut out the plucks")
        content = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        rule = f"must be a file that can be read: {reason}"
        raise SpecError("sound", name, rule, "give another path") from error
    return read_sound(content, name)


def _tell(ear: Ear, to: Written, listened: list[tuple[str, Listened]], as_json: bool) -> None:
    """Say what the sounds say together; refuse where none holds a pluck."""
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.hearing.heard_load import Listened
    from strandwright.planning.hearing.said import hearing

    good = tuple(pluck for _, one in listened for pluck in one.plucks)
    refused = [(name, one.refused) for name, one in listened if one.refused is not None]
    whole = Listened(good, refused[-1][1] if refused else None)
    told = hearing(ear, whole, to)
    if not good:
        raise SpecError("sound", refused[-1][0], "must hold a pluck of this line", told["why_not"])
    if as_json:
        say_json({**told, "expected_hz": ear.pitch_at(ear.standing.target).value})
        return
    say([f"{name}: {heard.refusal.value}" for name, heard in refused if heard.refusal])
    say(_lines(ear, to, whole, told))


def _lines(ear: Ear, to: Written, whole: Listened, told: dict[str, Any]) -> list[str]:
    from strandwright.cli.layout import columns, paragraph, rows

    target, load = ear.standing.target, whole.load
    assert load is not None
    expected = ""
    if ear.expects:
        expected = f"; expected {ear.pitch_at(target).value:.1f} Hz at {to.force(target)}"
    several = [("plucks", f"{load.plucks}, within {100.0 * load.scatter:.1f} %")]
    check = [("in a check", f'heard = "{told["check_entry"]}"')]
    shares = [(part["label"], f"{100.0 * part['share']:.0f} %") for part in told["budget"]]
    return [
        *rows(
            [
                ("heard", "; ".join(f"{h.pitch:.2f} Hz" for h, _ in whole.plucks) + expected),
                ("load", told["load_text"] + (f": {told['say']}" if ear.expects else "")),
                *(several if load.plucks > 1 else []),
                ("in a reading", f'load = "{told["load_entry"]}", heard = true'),
                *(check if ear.known.value("jig") != 1.0 else []),
            ]
        ),
        "",
        *columns(("what makes the \u00b1", "share"), shares),
        *(line for note in told["notes"] for line in ["", *paragraph(note)]),
    ]


def _compare(to: Written, listened: list[tuple[str, Listened]], as_json: bool) -> None:
    """Say how evenly the parts that were plucked share the load."""
    from strandwright.cli.layout import columns, paragraph, say, say_json
    from strandwright.planning.hearing.evenness import Plucked, compare_by_ear

    parts: list[Plucked] = []
    for name, one in listened:
        if not one.plucks:
            why = one.refused.refusal.value if one.refused and one.refused.refusal else ""
            raise SpecError("sound", name, "must hold a pluck of this line", why)
        heard = one.plucks[-1][0]
        parts.append(Plucked(Path(name).stem, heard.pitch, heard.u))
    found = compare_by_ear(parts)
    if as_json:
        shares = [{"name": p.name, "pitch_hz": p.pitch, "share": s.value, "plus_minus": s.u95}
                  for p, s in zip(found.plucked, found.shares, strict=True)]  # fmt: skip
        say_json({"verdict": found.verdict.value, "parts": shares})
        return
    body = [
        (part.name, f"{part.pitch:.2f} Hz", to.share_estimate(share))
        for part, share in zip(found.plucked, found.shares, strict=True)
    ]
    say(columns(("part", "pitch", "load of a strand, of the mean"), body))
    say(line for sentence in found.sentences(to) for line in ["", *paragraph(sentence)])
