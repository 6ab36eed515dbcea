"""Examples: the worked jobs that travel with the program, all of an invented workshop."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from strandwright.errors import NotFound
from strandwright.workshop.job import Job, read_job


@cache
def example_texts() -> dict[str, str]:
    """Give the text of every example's job file.

    Returns
    -------
    dict
        By file name without its ending, in order.
    """
    folder = files("strandwright") / "examples"
    found = sorted((p for p in folder.iterdir() if p.name.endswith(".toml")), key=lambda p: p.name)
    return {p.name.removesuffix(".toml"): p.read_text(encoding="utf-8") for p in found}


@cache
def examples() -> dict[str, Job]:
    """Give every example.

    Returns
    -------
    dict
        Jobs by their id.
    """
    jobs = (read_job(text, source=name) for name, text in example_texts().items())
    return {job.id: job for job in jobs}


def example(id: str) -> Job:
    """Give one example.

    Parameters
    ----------
    id : str
        The job's id.

    Returns
    -------
    Job
        The job.

    Raises
    ------
    NotFound
        If there is no such example.
    """
    if id not in examples():
        raise NotFound("example", id)
    return examples()[id]
