"""Field types of the job file: quantities as people write them, colours, loads in words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeAlias, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    WithJsonSchema,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, core_schema

from strandwright.errors import SpecError, UnitError
from strandwright.units import Dimension, Entered, parse

_EXAMPLES = {
    Dimension.LENGTH: ["57 1/4 in", "57 1/4 in +- 1/32", "1454.2 mm"],
    Dimension.FORCE: ["100 lbf", "100 lbf +- 4", "445 N"],
    Dimension.MASS: ["38 gr", "2.46 g"],
    Dimension.TEMPERATURE: ["68 degF", "20 degC"],
    Dimension.DURATION: ["20 s", "30 min", "12 h"],
    Dimension.LINEAR_DENSITY: ["0.192 g/m"],
    Dimension.STIFFNESS: ["60 N/mm", "340 lbf/in"],
    Dimension.TURNS_PER_LENGTH: ["0.5 per in"],
    Dimension.WRAPS_PER_LENGTH: ["52 per in"],
    Dimension.RATIO: ["2 %", "0.35"],
    Dimension.SPEED: ["290 ft/s", "88.4 m/s"],
    Dimension.ENERGY: ["62 ft lbf", "84 J"],
}


class Noun(BaseModel):
    """A frozen part of the job file; an unknown key is an error, never ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


@dataclass(frozen=True)
class _Written:
    """How a quantity is read from and written to the job file: as text with its unit.

    ``words`` are what may stand in place of a number, such as *unknown*; a ``signed`` quantity
    may lie below zero.
    """

    dimension: Dimension
    words: tuple[str, ...] = ()
    signed: bool = False

    def read(self, value: object) -> Entered | str:
        """Read a quantity, or one of the words."""
        if isinstance(value, Entered):
            return value
        if isinstance(value, str) and value.strip().lower() in self.words:
            return value.strip().lower()
        name = self.dimension.value
        try:
            if not isinstance(value, str):
                raise UnitError(
                    name,
                    value,
                    "must be text with its unit",
                    f'write it in quotes, such as "{_EXAMPLES[self.dimension][0]}"',
                )
            return parse(self.dimension, value, field=name, signed=self.signed)
        except UnitError as error:
            if not self.words:
                raise
            remedy = f"{error.remedy}; or write {' or '.join(self.words)}"
            raise UnitError(name, value, error.rule, remedy) from error

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Tell the validation library to read and write by this rule."""
        del source, handler
        written = core_schema.plain_serializer_function_ser_schema(
            lambda v: v.text if isinstance(v, Entered) else v,
            return_schema=core_schema.str_schema(),
        )
        return core_schema.no_info_plain_validator_function(self.read, serialization=written)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the text for the published schema."""
        del schema, handler
        kind = self.dimension.value.replace("_", " ")
        either = f", or {' or '.join(self.words)}" if self.words else ""
        return {
            "type": "string",
            "description": f"a {kind} with its unit{either}",
            "examples": [*_EXAMPLES[self.dimension], *self.words],
        }


Length: TypeAlias = Annotated[Entered, _Written(Dimension.LENGTH)]
#: A place along an axis, to either side of its origin.
Offset: TypeAlias = Annotated[Entered, _Written(Dimension.LENGTH, signed=True)]
Force: TypeAlias = Annotated[Entered, _Written(Dimension.FORCE)]
Mass: TypeAlias = Annotated[Entered, _Written(Dimension.MASS)]
Temperature: TypeAlias = Annotated[Entered, _Written(Dimension.TEMPERATURE)]
Duration: TypeAlias = Annotated[Entered, _Written(Dimension.DURATION)]
LinearDensity: TypeAlias = Annotated[Entered, _Written(Dimension.LINEAR_DENSITY)]
Stiffness: TypeAlias = Annotated[Entered, _Written(Dimension.STIFFNESS)]
TurnRate: TypeAlias = Annotated[Entered, _Written(Dimension.TURNS_PER_LENGTH)]
WrapRate: TypeAlias = Annotated[Entered, _Written(Dimension.WRAPS_PER_LENGTH)]
Ratio: TypeAlias = Annotated[Entered, _Written(Dimension.RATIO)]
Energy: TypeAlias = Annotated[Entered, _Written(Dimension.ENERGY)]
Speed: TypeAlias = Annotated[Entered, _Written(Dimension.SPEED)]

LOAD_WORDS = ("hand-tight", "unknown")
#: A load, or the words for a load nobody measured.
Load: TypeAlias = Annotated[Entered | str, _Written(Dimension.FORCE, LOAD_WORDS)]
#: A rated load, or unknown.
Rating: TypeAlias = Annotated[Entered | str, _Written(Dimension.FORCE, ("unknown",))]


def _read_colour(value: object) -> str:
    if isinstance(value, str) and re.fullmatch(r"#[0-9a-fA-F]{6}", value):
        return value
    raise SpecError(
        "colour", value, "must be # and six hexadecimal digits", "write it like #2F6B57"
    )


Colour: TypeAlias = Annotated[
    str,
    BeforeValidator(_read_colour),
    WithJsonSchema({"type": "string", "pattern": "^#[0-9a-fA-F]{6}$"}),
]

HandLetter: TypeAlias = Literal["S", "Z"]


def noun_of(annotation: object) -> type[Noun] | None:
    """Find the noun inside a list or a choice of types.

    Parameters
    ----------
    annotation : object
        Type of a field.

    Returns
    -------
    type of Noun or None
        None where there is none.
    """
    if isinstance(annotation, type) and issubclass(annotation, Noun):
        return annotation
    return next((n for part in get_args(annotation) if (n := noun_of(part))), None)


def dimension_of(annotation: object) -> Dimension | None:
    """Find what kind of quantity a field holds.

    Parameters
    ----------
    annotation : object
        A field, or its type.

    Returns
    -------
    Dimension or None
        None where it holds no quantity.
    """
    if isinstance(annotation, _Written):
        return annotation.dimension
    parts = get_args(annotation)
    if isinstance(annotation, FieldInfo):
        parts = (annotation.annotation, *annotation.metadata)
    return next((d for part in parts if (d := dimension_of(part))), None)
