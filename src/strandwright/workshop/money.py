"""Money: exact decimal amounts, read from text, rounded by one rule, written for people.

An amount is a :class:`decimal.Decimal` from the file to the paper, and text where it is kept; a
binary fraction is refused wherever one could come in. Sums are exact. There is one rounding, half
up to the currency's decimals, done where a line of a bill is made.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, TypeAlias

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from strandwright.errors import SpecError
from strandwright.workshop.exact import half_up, stripped
from strandwright.workshop.said import short

_AMOUNT = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,6})?")
_PERCENT = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,6})?) ?%")
_CODE = re.compile(r"[A-Z]{3}")
_WHOLE: tuple[str, ...] = (
    "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV",
    "XAF", "XOF", "XPF",
)  # fmt: skip
_THOUSANDTHS: tuple[str, ...] = ("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND")
#: Decimals of currencies that have not two, as ISO 4217 lists them (from memory) [-]
DECIMALS: dict[str, int] = {**dict.fromkeys(_WHOLE, 0), **dict.fromkeys(_THOUSANDTHS, 3)}
#: Groups thousands without ever parting them over two lines
_THIN = "\u202f"
_MINUS = "\u2212"
#: Numbers up to here are written without groups [-]
_UNGROUPED = 9999


def amount(value: object, field: str = "amount") -> Decimal:
    """Read an amount of money.

    Parameters
    ----------
    value : object
        Text such as ``12.50``, a whole number, or an amount already read.
    field : str
        What to call it in an error.

    Returns
    -------
    Decimal
        Exactly what was written.

    Raises
    ------
    SpecError
        If it is a binary fraction, or no number with at most six decimals.
    """
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    if isinstance(value, Decimal):
        value = f"{value:f}"
    if isinstance(value, str) and _AMOUNT.fullmatch(value.strip()):
        return Decimal(value.strip())
    rule = "must be an amount of money: digits, a point, and no currency"
    raise SpecError(field, short(value), rule, 'write it such as "12.50"')


def percent(value: object, field: str = "share") -> Decimal:
    """Read a share in per cent.

    Parameters
    ----------
    value : object
        Text such as ``19 %``, or a share already read.
    field : str
        What to call it in an error.

    Returns
    -------
    Decimal
        The number before the sign: 19 for ``19 %``.

    Raises
    ------
    SpecError
        If it is not written so, or is more than the whole.
    """
    found = _PERCENT.fullmatch(value.strip()) if isinstance(value, str) else None
    number = value if isinstance(value, Decimal) else Decimal(found[1]) if found else None
    if number is not None and 0 <= number <= 100:
        return number
    rule = "must be a share from 0 % to 100 %"
    raise SpecError(field, short(value), rule, 'write it such as "19 %"')


@dataclass(frozen=True)
class _Read:
    """How an amount or a share is read from and written to a file: as text."""

    share: bool

    def read(self, value: object) -> Decimal:
        """Read it."""
        return percent(value) if self.share else amount(value)

    def write(self, value: object) -> str:
        """Write it so that it reads back."""
        return f"{value:f} %" if self.share else f"{value:f}"

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Tell the validation library to read and write by this rule."""
        del source, handler
        written = core_schema.plain_serializer_function_ser_schema(
            self.write, return_schema=core_schema.str_schema()
        )
        return core_schema.no_info_plain_validator_function(self.read, serialization=written)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the text for a published schema."""
        del schema, handler
        said, example = ("a share in per cent", "19 %") if self.share else ("money", "12.50")
        return {"type": "string", "description": said, "examples": [example]}


#: An amount of money, kept as text; six decimals at most, for a price of a gram is small.
Money: TypeAlias = Annotated[Decimal, _Read(share=False)]
#: A measured quantity as it is charged, an exact decimal kept as text.
Quantity: TypeAlias = Money
#: A share in per cent, kept as text such as ``19 %``; its value is the number before the sign.
Percent: TypeAlias = Annotated[Decimal, _Read(share=True)]


@dataclass(frozen=True)
class Currency:
    """What a shop reckons in.

    Attributes
    ----------
    code : str
        Three letters, as ISO 4217 has them.
    decimals : int
        Decimals of its smallest coin [-]
    """

    code: str
    decimals: int

    @property
    def step(self) -> Decimal:
        """Give its smallest amount."""
        return Decimal(1).scaleb(-self.decimals)

    def rounded(self, exact: Decimal | Fraction) -> Decimal:
        """Round an exact amount, half up: half a coin goes away from nothing.

        Parameters
        ----------
        exact : Decimal or Fraction
            The amount [money]

        Returns
        -------
        Decimal
            With just the currency's decimals.
        """
        return half_up(exact, self.decimals)

    def written(self, money: Decimal) -> str:
        """Write an amount for people.

        Parameters
        ----------
        money : Decimal
            The amount; what is finer than the smallest coin, as a price of a gram, is shown.

        Returns
        -------
        str
            ``12.50 EUR``, thousands of a long one set apart.
        """
        digits = f"{abs(stripped(money, self.decimals)):f}"
        whole, point, rest = digits.partition(".")
        if int(whole) > _UNGROUPED:
            whole = f"{int(whole):,}".replace(",", _THIN)
        sign = _MINUS if money < 0 else ""
        return f"{sign}{whole}{point}{rest}\u00a0{self.code}"


def currency(code: str, decimals: int | None = None) -> Currency:
    """Give a currency.

    Parameters
    ----------
    code : str
        Three letters, as ISO 4217 has them.
    decimals : int or None
        Decimals where a shop says them; left out, the currency's own [-]

    Returns
    -------
    Currency
        The currency.

    Raises
    ------
    SpecError
        If the code is not three capital letters.
    """
    if not _CODE.fullmatch(code):
        rule = "must be three capital letters, as ISO 4217 has them"
        raise SpecError("currency", short(code), rule, "write it such as EUR or USD")
    return Currency(code, DECIMALS.get(code, 2) if decimals is None else decimals)
