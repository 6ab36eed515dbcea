"""Files of the command line: reading a job, and writing a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from strandwright.errors import InputError, SpecError

if TYPE_CHECKING:
    from strandwright.workshop.job import Job

#: Stands for standard input where a job file is wanted.
STANDARD_INPUT = "-"


def load_job(path: str) -> Job:
    """Read the job in a file, or on standard input for ``-``, and refuse what cannot be meant."""
    from strandwright.planning.refusals import refuse_impossible
    from strandwright.workshop.job import read_job

    job = read_job(read_text(path), source=path)
    refuse_impossible(job)
    return job


def read_text(path: str) -> str:
    """Read a text file as UTF-8."""
    try:
        raw = sys.stdin.buffer.read() if path == STANDARD_INPUT else Path(path).read_bytes()
    except OSError as error:
        raise _refused("job file", path, "cannot be read", error) from error
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        rule = f"must be UTF-8 text, and line {line} is not"
        raise SpecError("job file", path, rule, "save it again as UTF-8") from error


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file whole: beside its place first, then moved over it."""
    raw = content.encode("utf-8") if isinstance(content, str) else content
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    except OSError as error:
        raise _refused("output", str(path), "cannot be written", error) from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
        os.chmod(beside, 0o666 & ~_umask())
        os.replace(beside, path)
    except BaseException as error:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        if isinstance(error, OSError):
            raise _refused("output", str(path), "cannot be written", error) from error
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


def _refused(field: str, path: str, rule: str, error: OSError) -> InputError:
    reason = (error.strerror or type(error).__name__).lower()
    return SpecError(field, path, f"{rule}: {reason}", "give another path")
