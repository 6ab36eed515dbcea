"""The job: one readable file from the customer's line to the sheet."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any, Literal, get_args

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
#: Stands for the value given where there is none.
MISSING = "nothing"


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
        raise _malformed(source, text, str(error)) from error
    except RecursionError as error:
        rule = "must be valid TOML, and its tables or lists are nested too deeply"
        raise SpecError(source, "malformed", rule, "mend the brackets") from error
    except ValueError as error:
        rule = "must be valid TOML, and a number in it has too many digits"
        raise SpecError(source, "malformed", rule, "mend the number") from error
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


def _malformed(source: str, text: str, said: str) -> SpecError:
    """Show the line at which the text stops being TOML."""
    place = re.search(r" *\(at line (\d+), column \d+\)", said)
    reason = said[: place.start()] if place else said.removesuffix(" (at end of document)")
    lines = text.splitlines() or [""]
    number = int(place[1]) if place else len(lines)
    shown = lines[min(number, len(lines)) - 1].strip()
    rule = f"must be valid TOML, and line {number} is not: {reason[:1].lower()}{reason[1:]}"
    return SpecError(source, _short(shown), rule, f"mend line {number} or the one before it")


def _field_name(location: Iterable[object]) -> str:
    name = ""
    for part in location:
        if isinstance(part, int):
            name += f"[{part + 1}]"
        elif part not in ("function-before", "str"):
            name += f".{part}" if name else str(part)
    return name


#: Rule and remedy for each kind of error of the validation library; braces hold its context.
_RULES = {
    "string_type": ("must be text", "put it in quotes"),
    "string_pattern_mismatch": (
        "must be 1 to 40 letters, digits, points, hyphens and underscores, "
        "beginning with a letter or digit",
        "write it such as RIDGE-1",
    ),
    "string_too_short": ("must not be empty", "write it"),
    "string_too_long": ("must be {max_length} characters at most", "shorten it"),
    "int_type": ("must be a whole number", "write it without quotes, such as 24"),
    "int_parsing": ("must be a whole number", "write it without quotes, such as 24"),
    "int_from_float": ("must be a whole number", "write it without a point, such as 24"),
    "int_parsing_size": ("must be a whole number of a sane size", "mend the number"),
    "float_type": ("must be a number", "write it without quotes or unit, such as 27.5"),
    "float_parsing": ("must be a number", "write it without quotes or unit, such as 27.5"),
    "finite_number": ("must be a finite number", "write the number again"),
    "bool_type": ("must be true or false", "write true or false, without quotes"),
    "bool_parsing": ("must be true or false", "write true or false, without quotes"),
    "greater_than_equal": ("must be {ge:g} or more", "mend the number"),
    "less_than_equal": ("must be {le:g} or less", "mend the number"),
    "tuple_type": ("must be a list", "put it in [ ]"),
    "model_type": ("must be a table", "put its keys in { } or under a [heading]"),
}


def _translate(errors: Iterable[Any]) -> Iterable[InputError]:
    """Turn the validation library's errors into ours, each with its remedy."""
    for error in errors:
        field, given, kind = _field_name(error["loc"]), error["input"], error["type"]
        context = error.get("ctx", {})
        inner = context.get("error")
        if isinstance(inner, InputError):
            yield type(inner)(field, _short(inner.given), inner.rule, inner.remedy)
        elif kind == "missing":
            yield SpecError(field, MISSING, "is missing", "add it")
        elif kind == "extra_forbidden":
            rule = "must be a key that is known here"
            yield SpecError(field, _short(given), rule, _near(error["loc"]))
        elif kind == "literal_error":
            rule = f"must be {context.get('expected', 'one that is known')}"
            yield SpecError(field, _short(given), rule, "choose one of these")
        else:
            rule, remedy = _RULES.get(kind, ("must be of the kind the schema says", "mend it"))
            if isinstance(given, float) and not math.isfinite(given):
                rule, remedy = _RULES["finite_number"]
            yield SpecError(field, _short(given), rule.format(**context), remedy)


def _short(given: object) -> str:
    """Write a value as it stands in the file, not longer than fits a line."""
    if isinstance(given, bool):
        text = str(given).lower()
    elif isinstance(given, dict):
        text = "{ ... }"
    elif isinstance(given, list | tuple):
        text = "[ ... ]" if given else "[]"
    else:
        text = str(given)
    return text if len(text) <= 60 else text[:57] + "..."


def _near(location: tuple[object, ...]) -> str:
    """Suggest keys of the same table like the one that was not known."""
    table = _table_at(location[:-1])
    known = sorted(table.model_fields) if table is not None else []
    close = get_close_matches(str(location[-1]), known, n=2)
    if close:
        return f"did you mean {' or '.join(close)}?"
    return f"take it out; known here: {', '.join(known)}" if known else "take it out"


def _table_at(location: Iterable[object]) -> type[Noun] | None:
    """Find the noun that a place in the file holds."""
    noun: type[Noun] | None = Job
    for part in location:
        if noun is None or isinstance(part, int):
            continue
        field = noun.model_fields.get(str(part))
        noun = None if field is None else _noun_in(field.annotation)
    return noun


def _noun_in(annotation: object) -> type[Noun] | None:
    """Find the noun inside a list or a choice of types."""
    if isinstance(annotation, type) and issubclass(annotation, Noun):
        return annotation
    return next((n for part in get_args(annotation) if (n := _noun_in(part))), None)
