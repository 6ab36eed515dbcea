"""The command ``tolerance``: many builds of a job by chance, and what they come to."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Generator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from strandwright.cli.files import load_job, refuse_place, write_whole
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.tolerance.of_job import JobStudy
    from strandwright.planning.tolerance.runners.port import Runner
    from strandwright.planning.tolerance.state import Progress
    from strandwright.planning.tolerance.study import Study

#: More would take days [-]
_MOST = 100_000_000
#: No state file comes near it [byte]
_LARGEST = 20_000_000
#: What a shell calls a program that was stopped by Ctrl-C
STOPPED = 130


@click.command("tolerance", short_help="Draw many builds of a job, and say how many come out.")
@click.argument("job_file", metavar="JOB.toml")
@click.option(
    "--builds", type=int, default=100_000, show_default=True, metavar="COUNT",
    help="Builds to draw.",
)  # fmt: skip
@click.option(
    "--seed", type=int, default=1, show_default=True, metavar="NUMBER",
    help="Of all that is drawn: the same gives the same numbers.",
)  # fmt: skip
@click.option(
    "--state", metavar="FILE",
    help="Keep in this file how far it has come, and go on from there.",
)  # fmt: skip
@click.option(
    "--cluster", metavar="ADDRESS",
    help="Have a Dask cluster do the work, its scheduler at this address, such as "
    "tcp://127.0.0.1:8786. The numbers are the same. Needs the extra 'cluster'.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@click.pass_context
def command(
    ctx: click.Context,
    job_file: str,
    builds: int,
    seed: int,
    state: str | None,
    cluster: str | None,
    as_json: bool,
) -> None:
    """Draw many builds of a job by chance, and say how many come out.

    Each build has its own strand, bench, gauge and tape, drawn from what the plan does not know
    of them. It is wound and marked as planned, read where the plan asks for a reading, turned as
    the readings say, proved, and put on a bow that agrees with what is known of the job's.
    Readings that the job already holds are left aside: it is every build that is asked about.

    Ctrl-C stops it; with --state the same command goes on where it stood.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.tolerance_text import study_data, study_lines
    from strandwright.planning.tolerance.of_job import study_of
    from strandwright.planning.tolerance.result import found

    _refuse_numbers(builds, seed)
    job = load_job(job_file)
    place = _state_place(state, job_file)
    whole = study_of(job, builds, seed)
    begun = _begun(place, whole.study)
    try:
        progress = _worked_out(whole, _runner(cluster), begun, place)
    except _Stopped as stopped:
        click.echo(str(stopped), err=True)
        ctx.exit(STOPPED)
    result = found(whole.study, progress.tally)
    if as_json:
        say_json(study_data(whole, result, seed))
        return
    say(study_lines(whole, result, seed))


class _Stopped(Exception):
    """Somebody stopped the work."""


def _refuse_numbers(builds: int, seed: int) -> None:
    if not 1 <= builds <= _MOST:
        rule = f"must be 1 to {_MOST}"
        raise SpecError("--builds", str(builds), rule, "100000 tell a share to 0.3 %")
    if not 0 <= seed < 2**63:
        rule = "must be 0 or a whole number above it, of 18 digits at most"
        raise SpecError("--seed", str(seed), rule, "leave it out, or take 2, 3, 4")


def _state_place(given: str | None, job_file: str) -> Path | None:
    """Give the state file, before anything is worked out for it."""
    if given is None:
        return None
    rule, path = "must be a file of its own", Path(given)
    if not given.strip() or given == "-":
        raise SpecError("--state", given, rule, "name one, such as study.json")
    try:
        refuse_place(path)
    except SpecError as error:
        raise error.at("--state") from error
    with contextlib.suppress(OSError):
        if path.exists() and path.samefile(job_file):
            raise SpecError("--state", given, rule, "name another than the job file")
    return path


def _begun(place: Path | None, study: Study) -> Progress | None:
    """Read how far the study has come, None where it has not begun."""
    from strandwright.planning.tolerance.state import read_progress

    if place is None or not place.exists():
        return None
    try:
        with place.open("rb") as file:
            raw = file.read(_LARGEST + 1)
    except OSError as error:
        rule = f"must be a file that can be read: {(error.strerror or 'no reason').lower()}"
        raise SpecError("--state", str(place), rule, "name another file") from error
    text = raw.decode("utf-8", errors="replace") if len(raw) <= _LARGEST else ""
    return read_progress(text, study, "--state", str(place))


def _runner(address: str | None) -> Runner:
    if address is not None:
        from strandwright.planning.tolerance.runners.cluster import Cluster

        return Cluster(address)
    from strandwright.planning.tolerance.runners.threads import Threads

    return Threads()


def _worked_out(
    whole: JobStudy, runner: Runner, begun: Progress | None, place: Path | None
) -> Progress:
    """Work the study out, keep every batch, and say where it stood if it is stopped."""
    from strandwright.planning.tolerance.run import run_study
    from strandwright.planning.tolerance.state import Progress, progress_text

    study = whole.study
    progress = begun or Progress.begun(study)
    with _bar(study, progress) as moved:

        def kept(further: Progress) -> None:
            nonlocal progress
            if place is not None:
                write_whole(place, progress_text(further))
            progress = further
            moved(further)

        try:
            return run_study(study, runner, progress, kept)
        except KeyboardInterrupt:
            stood = f"stopped after {len(progress.done)} of {progress.of} batches"
            if place is None:
                said = f"{stood}; nothing is kept. With --state FILE it could go on from there."
            else:
                said = f"{stood}; {place} keeps them, and the same command goes on from there."
        # Outside of the interrupt, lest it be told of as well.
        raise _Stopped(said)


@contextlib.contextmanager
def _bar(study: Study, begun: Progress) -> Generator[Callable[[Progress], None]]:
    """Show on a terminal how far it has come; a pipe gets the result alone."""
    if not _is_terminal():
        yield lambda _: None
        return
    with click.progressbar(
        length=study.batches.count, label="builds drawn", file=sys.stderr
    ) as bar:
        bar.update(len(begun.done))
        yield lambda progress: bar.update(len(progress.done) - bar.pos)


def _is_terminal() -> bool:
    return sys.stderr.isatty()
