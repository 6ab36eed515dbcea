"""Files of the command line: reading a job, and writing a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
from collections.abc import Generator
from pathlib import Path
from typing import TYPE_CHECKING

from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.workshop.job import Job

#: Stands for standard input where a job file is wanted.
STANDARD_INPUT = "-"
#: No job file comes near it; keeps a device that never ends from filling the memory [byte]
_LARGEST = 1_000_000


def load_job(path: str) -> Job:
    """Read the job in a file, or on standard input for ``-``, and refuse what cannot be meant."""
    from strandwright.planning.entries.refusals import refuse_impossible
    from strandwright.workshop.job import read_job

    job = read_job(read_text(path), source="job file" if path == STANDARD_INPUT else path)
    refuse_impossible(job)
    return job


def read_text(path: str) -> str:
    """Read a text file as UTF-8."""
    try:
        raw = _raw(path)
    except OSError as error:
        rule = f"must be a file that can be read: {_reason(error)}"
        raise SpecError("job file", path, rule, "give another path") from error
    if len(raw) > _LARGEST:
        raise SpecError("job file", path, "must be under 1 MB", "give the job file itself")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        rule = f"must be UTF-8 text, and line {line} is not"
        raise SpecError("job file", path, rule, "save it again as UTF-8") from error


def _raw(path: str) -> bytes:
    if path == STANDARD_INPUT:
        return sys.stdin.buffer.read(_LARGEST + 1)
    with open(path, "rb") as file:
        return file.read(_LARGEST + 1)


def output_file(given: str | None, default: Path, job_file: str = STANDARD_INPUT) -> Path:
    """Give the file to be written, before anything is computed for it.

    Parameters
    ----------
    given : str or None
        What was typed after ``-o``.
    default : Path
        Where it goes if nothing was; its ending is the one that fits.
    job_file : str
        The job file, which is never written over.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If it has no name or another ending, is the job file or no regular file, or lies in a
        folder that is not there.
    """
    suffix = default.suffix
    if given is not None and (not given.strip() or given == STANDARD_INPUT):
        example = f"name one, such as {default.name}"
        raise SpecError("output", given, f"must be a file whose name ends in {suffix}", example)
    path = default if given is None else Path(given)
    with reported(path):
        if job_file != STANDARD_INPUT and path.exists() and path.samefile(job_file):
            rule = "must be another file than the job file"
            raise SpecError("output", str(path), rule, f"name one that ends in {suffix}")
    refuse_place(path)
    if path.suffix.lower() != suffix:
        rule, remedy = f"must end in {suffix}, for that is what it will hold", "mend the name"
        raise SpecError("output", str(path), rule, remedy)
    return path


def refuse_place(path: Path) -> None:
    """Refuse a place that is no regular file, or that lies in a folder that is not there."""
    with reported(path):
        if path.is_dir():
            raise SpecError(
                "output", str(path), "must be a file, and is a folder", "name a file in it"
            )
        if path.exists() and not path.is_file():
            rule = "must be a regular file, and is a device or a pipe"
            raise SpecError("output", str(path), rule, "name a file")
        if not path.parent.is_dir():
            what = "is a file" if path.parent.exists() else "is not there"
            rule = f"must lie in a folder, and {path.parent} {what}"
            raise SpecError("output", str(path), rule, "make that folder, or name another")


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file whole: beside its place first, then moved over it."""
    refuse_place(path)
    raw = content.encode("utf-8") if isinstance(content, str) else content
    # A link is written through, as an editor would.
    place = Path(os.path.realpath(path))
    with reported(path):
        handle, beside = tempfile.mkstemp(prefix=".strandwright-", dir=place.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(raw)
            os.chmod(beside, 0o666 & ~_umask())
            os.replace(beside, place)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(beside)
            raise


def beside_job(path: str, ending: str, job: Job) -> Path:
    """Name a file after the job file, in the folder the command runs in."""
    stem = job.id if path == STANDARD_INPUT else Path(path).stem
    return Path(f"{stem}{ending}")


def _umask() -> int:
    """Mask that new files are made with; a temporary file alone would be private."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


@contextlib.contextmanager
def reported(path: Path) -> Generator[None]:
    """Refuse a place with what the system says of it."""
    try:
        yield
    except OSError as error:
        rule = f"must be a file that can be written: {_reason(error)}"
        raise SpecError("output", str(path), rule, "give another path") from error


def _reason(error: OSError) -> str:
    return (error.strerror or type(error).__name__).lower()
