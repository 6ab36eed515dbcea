"""Set files of the command line: a set with its jobs, from files or from the store."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from strandwright.cli.files import STANDARD_INPUT, load_job, read_text
from strandwright.cli.told import named_file
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.sets.result import PlannedSet
    from strandwright.workshop.job import Job
    from strandwright.workshop.line_set import LineSet

Pairs = Sequence[tuple[str, str]]

#: Tables that a job's file has, and no set's
_OF_A_JOB = frozenset({"bow", "line", "makeup", "bench", "original", "route", "paper"})


def planned_from(given: Sequence[str], pairs: Pairs, place: str | None) -> PlannedSet:
    """Plan the set that was meant: of a set file, of job files, or one that is kept."""
    if any(_is_file(word) for word in given):
        return _from_files(given, pairs, place)
    if len(given) > 1 or pairs:
        rule = "must be job files, one set file, or the id of one set that is kept"
        raise SpecError("FILE", " ".join(given), rule, "give one of these")
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.sets.keeping import kept_set, plan_kept
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        desk = Desk(store)
        return plan_kept(desk, kept_set(desk, given[0]).line_set)
    finally:
        store.close()


def _is_file(word: str) -> bool:
    """Tell a file from an id: it ends as one, is one, or has a folder in its name."""
    return word == STANDARD_INPUT or word.endswith(".toml") or "/" in word or Path(word).exists()


def is_set_file(text: str) -> bool:
    """Tell a set's file from a job's; what is no TOML at all is taken for a job's."""
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError):
        return False
    if not tables or _OF_A_JOB & set(tables):
        return False
    return "lines" in tables or {"id", "name"} <= set(tables)


def load_set(file: str, text: str) -> LineSet:
    """Read a set from the text of its file."""
    from strandwright.workshop.line_set import read_set

    with named_file(file):
        return read_set(text, source=file)


def _from_files(given: Sequence[str], pairs: Pairs, place: str | None) -> PlannedSet:
    from strandwright.planning.planner import Planner
    from strandwright.planning.sets.plan_set import plan_set

    planner = Planner()
    only = read_text(given[0]) if len(given) == 1 and given[0] != STANDARD_INPUT else ""
    if is_set_file(only):
        line_set, jobs = _set_file(given[0], only, pairs, place)
    else:
        _refuse_together(given)
        jobs = {file: _load_job(file) for file in given}
        line_set = _set_of(jobs, pairs)
    plans = []
    for file, job in jobs.items():
        with named_file(file):
            plans.append(planner.plan(job))
    return plan_set(line_set, plans, planner.plan)


def _refuse_together(given: Sequence[str]) -> None:
    """Refuse one file that is given twice, and a set file among others."""
    for n, file in enumerate(given):
        if file in given[:n]:
            rule, remedy = "must be given once", "leave the second out; a spare is a job of its own"
            raise SpecError("FILE", file, rule, remedy)
        if len(given) > 1 and file != STANDARD_INPUT and is_set_file(read_text(file)):
            rule = "is a set file, and must be given alone"
            raise SpecError("FILE", file, rule, "give it alone, or the job files of its lines")


def _load_job(file: str) -> Job:
    """Read a job; with several files, what is wrong in one names it."""
    with named_file(file):
        return load_job(file)


def _set_file(
    file: str, text: str, pairs: Pairs, place: str | None
) -> tuple[LineSet, dict[str, Job]]:
    """Read a set's file and its jobs, by file or by id."""
    if pairs:
        remedy = "write the pair into the set file"
        raise SpecError("--pair", " ".join(pairs[0]), "goes with job files alone", remedy)
    line_set = load_set(file, text)
    jobs: dict[str, Job] = {}
    kept = [line.job for line in line_set.lines if not line.file]
    found = _kept_jobs(kept, place) if kept else {}
    for n, line in enumerate(line_set.lines, 1):
        if not line.file:
            jobs[line.job] = found[line.job]
            continue
        path = str(Path(file).parent / line.file)
        job = _load_job(path)
        if job.id != line.job:
            rule = f"must be the id of the job in {line.file}, {job.id}"
            raise SpecError(f"{file}: lines[{n}].job", line.job, rule, "mend the id or the file")
        jobs[path] = job
    return line_set, jobs


def _kept_jobs(ids: Sequence[str], place: str | None) -> dict[str, Job]:
    from strandwright.planning.desk.builds import Desk
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        desk = Desk(store)
        return {id: desk.memory.knows(desk.job(id).job) for id in ids}
    finally:
        store.close()


def _set_of(jobs: dict[str, Job], pairs: Pairs) -> LineSet:
    """Make a set of job files that were given one by one."""
    from strandwright.cli.told import named
    from strandwright.workshop.line_set import set_from_table

    seen: dict[str, str] = {}
    for file, job in jobs.items():
        if job.id in seen:
            rule = f"must be another job than that of {seen[job.id]}"
            raise SpecError(f"{file}: id", job.id, rule, "give each line's job an id of its own")
        seen[job.id] = file
    table = {
        "id": _id_of(list(jobs.values())),
        "name": _name_of(list(jobs.values())),
        "lines": [{"job": job.id} for job in jobs.values()],
        "pairs": [{"one": one, "other": other} for one, other in pairs],
    }
    with named({"lines": "FILE", "pairs": "--pair"}):
        return set_from_table(table)


def _name_of(jobs: Sequence[Job]) -> str:
    """Call a set by its bow; by none where its jobs name several."""
    bows = {job.bow.name for job in jobs if job.bow.name}
    if len(bows) > 1:
        return "Lines of several bows"
    return f"Lines of the {bows.pop()}"[:120] if bows else "Lines of one bow"


def _id_of(jobs: Sequence[Job]) -> str:
    """Name a set by what its jobs' ids begin with, else by their bow."""
    stems = {job.id.rpartition("-")[0] for job in jobs}
    stem = stems.pop() if len(stems) == 1 else ""
    bows = {job.bow.name for job in jobs}
    words = re.findall(r"[A-Za-z0-9]+", bows.pop()) if len(bows) == 1 else []
    return stem or "-".join(words)[:40].rstrip("-").upper() or "LINES"
