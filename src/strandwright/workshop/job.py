"""The job: one readable file from the customer's line to the sheet."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any, Literal

import tomli_w
from pydantic import Field, ValidationError

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.workshop.fields import Noun
from strandwright.workshop.parts import (
    BenchSpec,
    Bow,
    BuildRecord,
    LineSpec,
    MakeUp,
    Original,
    RouteSpec,
)

FORMAT = 1


class Paper(Noun):
    """How numbers and sheets are written."""

    units: Literal["in", "mm"] = "in"
    fraction: Literal[8, 16, 32, 64] = 16
    size: Literal["letter", "a4"] = "letter"


class Job(Noun):
    """A job: everything that is needed to plan one line."""

    format: Literal[1] = Field(default=FORMAT, description="version of this file format")
    id: str = Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$")
    name: str = Field(min_length=1, max_length=120)
    customer: str = ""
    paper: Paper = Paper()
    bow: Bow
    original: Original = Original()
    line: LineSpec
    makeup: MakeUp
    bench: BenchSpec
    route: RouteSpec = RouteSpec()
    build: BuildRecord = BuildRecord()


def read_job(text: str, *, source: str = "job") -> Job:
    """Read a job from the text of its TOML file.

    Parameters
    ----------
    text : str
        The file's text.
    source : str
        What to call the file in an error.

    Returns
    -------
    Job
        The job; nothing is computed yet.

    Raises
    ------
    InputError
        For one thing that cannot be used: field, value, rule, remedy.
    InputErrors
        For several of them.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SpecError(
            source, str(error), "must be valid TOML", "mend the line it names"
        ) from error
    return job_from_table(table)


def job_from_table(table: dict[str, Any]) -> Job:
    """Make a job from the nested tables of its file.

    Parameters
    ----------
    table : dict
        Tables and values, quantities as text.

    Returns
    -------
    Job
        The job.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    try:
        return Job.model_validate(table)
    except ValidationError as error:
        found = tuple(_translate(error.errors()))
        raise (found[0] if len(found) == 1 else InputErrors(found)) from error


def write_job(job: Job) -> str:
    """Write a job as the text of its TOML file; reading it back gives an equal job.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str
        TOML; values that are defaults are left out.
    """
    return tomli_w.dumps(job.model_dump(mode="json", exclude_defaults=True) | {"format": FORMAT})


def job_schema() -> dict[str, Any]:
    """Give the JSON Schema (2020-12) of the job file.

    Returns
    -------
    dict
        The schema, for editors and other programs.
    """
    schema = Job.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _field_name(location: Iterable[object]) -> str:
    name = ""
    for part in location:
        if isinstance(part, int):
            name += f"[{part + 1}]"
        elif part not in ("function-before", "str"):
            name += f".{part}" if name else str(part)
    return name


def _translate(errors: Iterable[Any]) -> Iterable[InputError]:
    """Turn the validation library's errors into ours, each with its remedy."""
    for error in errors:
        field, given, kind = _field_name(error["loc"]), error["input"], error["type"]
        context = error.get("ctx", {})
        inner = context.get("error")
        if isinstance(inner, InputError):
            yield inner.at(field)
        elif kind == "missing":
            yield SpecError(field, "nothing", "is needed", "add it")
        elif kind == "extra_forbidden":
            yield SpecError(field, _short(given), "is not a known key", _near(field))
        elif kind == "literal_error":
            yield SpecError(field, _short(given), "is not one of the choices", _choose(context))
        else:
            rule = str(error["msg"]).replace("Input should be", "must be")
            yield SpecError(field, _short(given), rule, "correct the value")


def _choose(context: dict[str, Any]) -> str:
    return f"choose {context.get('expected', 'another')}"


def _short(given: object) -> str:
    text = given if isinstance(given, str) else repr(given)
    return text if len(text) <= 60 else text[:57] + "..."


def _near(field: str) -> str:
    """Suggest known keys like the one that was not known."""
    key = field.rsplit(".", 1)[-1]
    known: set[str] = set()
    for part in (Job.model_json_schema().get("$defs", {}) | {"": Job.model_json_schema()}).values():
        known |= set(part.get("properties", {}))
    close = get_close_matches(key, sorted(known), n=2)
    return f"did you mean {' or '.join(close)}?" if close else "take it out"
