"""The job: one readable file from the customer's line to the sheet."""

from __future__ import annotations

import re
import tomllib
from typing import Any, Literal, TypeVar

import tomli_w
from pydantic import Field, ValidationError

from strandwright.errors import InputErrors, SpecError
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
from strandwright.workshop.said import short, translated
from strandwright.workshop.shop import ShopKnowledge

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
    builder: str = Field(default="", max_length=60, description="whose hands build it")
    paper: Paper = Paper()
    bow: Bow
    original: Original = Original()
    line: LineSpec
    makeup: MakeUp
    bench: BenchSpec
    route: RouteSpec = RouteSpec()
    build: BuildRecord = BuildRecord()
    shop: ShopKnowledge | None = Field(
        default=None, description="what finished builds say; the app fills it in"
    )


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
    return job_from_table(tables_in(text, source))


def tables_in(text: str, source: str) -> dict[str, Any]:
    """Read the tables of a TOML file.

    Parameters
    ----------
    text : str
        The file's text.
    source : str
        What to call the file in an error.

    Returns
    -------
    dict
        Tables and values.

    Raises
    ------
    InputError
        If it is not valid TOML.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _malformed(source, text, str(error)) from error
    except RecursionError as error:
        rule = "must be valid TOML, and its tables or lists are nested too deeply"
        raise SpecError(source, "malformed", rule, "mend the brackets") from error
    except ValueError as error:
        rule = "must be valid TOML, and a number in it has too many digits"
        raise SpecError(source, "malformed", rule, "mend the number") from error


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
    return noun_from_table(Job, table)


AnyNoun = TypeVar("AnyNoun", bound=Noun)


def noun_from_table(kind: type[AnyNoun], table: dict[str, Any], where: str = "") -> AnyNoun:
    """Read any noun of the job file from its tables.

    Parameters
    ----------
    kind : type of Noun
        Which noun.
    table : dict
        Tables and values, quantities as text.
    where : str
        Put before the field of an error, such as ``bench``.

    Returns
    -------
    Noun
        The noun.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    try:
        return kind.model_validate(table)
    except ValidationError as error:
        found = tuple(translated(error.errors(), kind))
        if where:
            found = tuple(e.at(f"{where}.{e.field}" if e.field else where) for e in found)
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


def _malformed(source: str, text: str, said: str) -> SpecError:
    """Show the line at which the text stops being TOML."""
    place = re.search(r" *\(at line (\d+), column \d+\)", said)
    reason = said[: place.start()] if place else said.removesuffix(" (at end of document)")
    lines = text.splitlines() or [""]
    number = int(place[1]) if place else len(lines)
    shown = lines[min(number, len(lines)) - 1].strip()
    rule = f"must be valid TOML, and line {number} is not: {reason[:1].lower()}{reason[1:]}"
    return SpecError(source, short(shown), rule, f"mend line {number} or the one before it")
