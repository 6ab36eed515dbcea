"""Said: what the validation library found, in words for the person who entered it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any

from strandwright.errors import InputError, SpecError
from strandwright.workshop.fields import Noun, noun_of

#: Stands for the value given where there is none.
MISSING = "nothing"


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
    "float_type": ("must be a number", "write it plainly, without quotes or unit, such as 2.5"),
    "float_parsing": ("must be a number", "write it plainly, without quotes or unit, such as 2.5"),
    "finite_number": ("must be a finite number", "write the number again"),
    "bool_type": ("must be true or false", "write true or false, without quotes"),
    "bool_parsing": ("must be true or false", "write true or false, without quotes"),
    "greater_than_equal": ("must be {ge:g} or more", "mend the number"),
    "greater_than": ("must be more than {gt:g}", "mend the number, or leave it out if it may be"),
    "less_than": ("must be less than {lt:g}", "mend the number"),
    "less_than_equal": ("must be {le:g} or less", "mend the number"),
    "tuple_type": ("must be a list", "put it in [ ]"),
    "model_type": ("must be a table", "put its keys in { } or under a [heading]"),
}


def translated(errors: Iterable[Any], root: type[Noun]) -> Iterable[InputError]:
    """Turn the validation library's errors into ours, each with its remedy.

    Parameters
    ----------
    errors : iterable of dict
        As the validation library lists them.
    root : type of Noun
        What was being read.

    Yields
    ------
    InputError
        Field, value, rule, remedy.
    """
    for error in errors:
        field, given, kind = _field_name(error["loc"]), error["input"], error["type"]
        context = error.get("ctx", {})
        inner = context.get("error")
        if isinstance(inner, InputError):
            yield type(inner)(field, short(inner.given), inner.rule, inner.remedy)
        elif kind == "missing":
            yield SpecError(field, MISSING, "is missing", "add it")
        elif kind == "extra_forbidden":
            rule = "must be a key that is known here"
            yield SpecError(field, short(given), rule, _near(error["loc"], root))
        elif kind == "literal_error":
            rule = f"must be {context.get('expected', 'one that is known')}"
            yield SpecError(field, short(given), rule, "choose one of these")
        else:
            rule, remedy = _RULES.get(kind, ("must be of the kind the schema says", "mend it"))
            if isinstance(given, float) and not math.isfinite(given):
                rule, remedy = _RULES["finite_number"]
            yield SpecError(field, short(given), rule.format(**context), remedy)


def short(given: object) -> str:
    """Write a value as it stands in the file, not longer than fits a line.

    Parameters
    ----------
    given : object
        The value.

    Returns
    -------
    str
        60 characters at most.
    """
    if given is None:
        text = MISSING
    elif isinstance(given, bool):
        text = str(given).lower()
    elif isinstance(given, dict):
        text = "{ ... }"
    elif isinstance(given, list | tuple):
        text = "[ ... ]" if given else "[]"
    else:
        text = str(given)
    return text if len(text) <= 60 else text[:57] + "..."


def _near(location: tuple[object, ...], root: type[Noun]) -> str:
    """Suggest keys of the same table like the one that was not known."""
    table = _table_at(location[:-1], root)
    known = sorted(table.model_fields) if table is not None else []
    close = get_close_matches(str(location[-1]), known, n=2)
    if close:
        return f"did you mean {' or '.join(close)}?"
    return f"take it out; known here: {', '.join(known)}" if known else "take it out"


def _table_at(location: Iterable[object], root: type[Noun]) -> type[Noun] | None:
    """Find the noun that a place in the file holds."""
    noun: type[Noun] | None = root
    for part in location:
        if noun is None or isinstance(part, int):
            continue
        field = noun.model_fields.get(str(part))
        noun = None if field is None else noun_of(field.annotation)
    return noun
