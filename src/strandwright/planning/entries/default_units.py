"""Default units: what a number typed without a unit is meant in, by the field it is typed into."""

from __future__ import annotations

import re
from typing import cast

from strandwright.units import Dimension, plain_text
from strandwright.workshop.fields import Noun, dimension_of, noun_of
from strandwright.workshop.job import Job

Table = dict[str, object]

#: Where a length is meant, by the last part of a field's name in an event's body.
_LENGTHS = {
    "finished", "start", "stop", "at", "outside", "posts", "length", "diameter", "zero_pin",
    "far_pin", "brace_height", "axle_to_axle", "draw_length", "bow_length", "leg", "span", "left",
    "right", "overall",
}  # fmt: skip
#: Units as they are said in a workshop, where lengths are in inches and where in millimetres.
_UNITS = {
    Dimension.LENGTH: {"in": "in", "mm": "mm"},
    Dimension.FORCE: {"in": "lbf", "mm": "N"},
    Dimension.MASS: {"in": "gr", "mm": "g"},
    Dimension.SPEED: {"in": "ft/s", "mm": "m/s"},
    Dimension.ENERGY: {"in": "ft lbf", "mm": "J"},
}
_NUMBER = r"[+-]?[ 0-9./-]*[0-9]\.?"
#: A number, and perhaps a +- that has no unit either, or is in per cent.
_BARE = re.compile(rf"({_NUMBER})(?: *\+- *({_NUMBER} *%?))?")


def with_unit(field: str, value: object, units: str) -> object:
    """Let a number that is typed without a unit have its field's own, as people say it.

    Parameters
    ----------
    field : str
        Name in the job file or in an event's body.
    value : object
        What was typed.
    units : str
        ``in`` or ``mm``.

    Returns
    -------
    object
        The same, with the unit where a bare number stands for a length or, of the bow, for a
        force, a mass, a speed or an energy; a +- after it shares that unit. A let-off over 1 is
        in per cent. Tables are gone through.
    """
    if isinstance(value, dict):
        table = cast("Table", value)
        return {name: with_unit(f"{field}.{name}", held, units) for name, held in table.items()}
    unit = _unit_of(field, units)
    if unit is None or not isinstance(value, str):
        return value
    found = _BARE.fullmatch(plain_text(value))
    if found is None:
        return value
    number, spread = found[1], found[2]
    if unit == "%" and not _is_over_one(number):
        return value
    # What has a unit only is kept as it was typed.
    kept = number if spread else value.strip()
    return f"{kept} {unit} +- {spread}" if spread else f"{kept} {unit}"


def dimension_at(field: str) -> Dimension | None:
    """Tell what kind of quantity a field of the job file holds.

    Parameters
    ----------
    field : str
        Its name, places in lists numbered.

    Returns
    -------
    Dimension or None
        None where it holds none, and where there is no such field.
    """
    noun: type[Noun] | None = Job
    annotation: object = None
    for part in re.sub(r"\[[0-9]+\]", "", field).split("."):
        info = None if noun is None else noun.model_fields.get(part)
        if info is None:
            return None
        annotation = info
        noun = noun_of(info.annotation)
    return dimension_of(annotation)


def _unit_of(field: str, units: str) -> str | None:
    """The unit a bare number in a field is meant in; None where it would be a guess."""
    of_bow = field.startswith("bow.")
    kind = dimension_at(field) if of_bow else None
    if kind is Dimension.RATIO:
        return "%"
    if kind is None and field.rpartition(".")[2] in _LENGTHS:
        kind = Dimension.LENGTH
    return None if kind is None else _UNITS.get(kind, {}).get(units)


def _is_over_one(number: str) -> bool:
    """Whether a bare share can only be meant in per cent."""
    try:
        return abs(float(number)) > 1.0
    except ValueError:
        return False
