"""Happenings of stock: what became of a spool, or of small parts counted by the piece."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import Field

from strandwright.workshop.fields import Length, LinearDensity, Mass, Noun
from strandwright.workshop.money import Money
from strandwright.workshop.wares import Ware

#: More pieces than this in one event are a slip of the hand [-]
MOST_PIECES = 100_000

Body = dict[str, Any]
Pieces = Annotated[int, Field(ge=1, le=MOST_PIECES, strict=True)]
OrderId = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
JobId = Annotated[str, Field(max_length=40)]


class StockReceived(Noun):
    """A spool came in, or small parts: what the label says and what was paid."""

    ware: Ware
    called: str = Field(default="", max_length=60, description="what its colour is called")
    lot: str = Field(default="", max_length=60, description="as the label has it")
    length: Length | None = Field(default=None, description="of a spool, by its label")
    mass: Mass | None = Field(default=None, description="without the empty spool, by its label")
    linear_density: LinearDensity | None = Field(default=None, description="if the label says it")
    tare: Mass | None = Field(default=None, description="the empty spool, if somebody weighed one")
    count: Pieces | None = Field(default=None, description="small parts that came")
    price: Money | None = Field(default=None, description="paid for all of it, in the shop's money")
    supplier: str = Field(default="", max_length=120)
    place: str = Field(default="", max_length=120, description="where it lies")
    opened: bool = Field(default=False, strict=True, description="some of it was gone already")


class StockWeighed(Noun):
    """A spool was weighed, with what is on it."""

    gross: Mass = Field(description="what the scale showed")
    step: Mass | None = Field(default=None, description="smallest step of the scale")


class StockCounted(Noun):
    """Small parts were counted: so many lie there."""

    count: int = Field(ge=0, le=MOST_PIECES, strict=True)


class StockReserved(Noun):
    """Some of it is promised to a job of an order; a further one for that job adds to it."""

    order: OrderId
    job: JobId = ""
    length: Length | None = None
    count: Pieces | None = None


class StockFreed(Noun):
    """What was promised to a job of an order is free again."""

    order: OrderId
    job: JobId = ""


class StockUsed(Noun):
    """Some of it went into a line, on a bow, or was cut off for one; it fulfils the promise."""

    build: str = Field(default="", max_length=40)
    order: OrderId | None = None
    job: JobId = ""
    length: Length | None = Field(default=None, description="with its +- where that is known")
    count: Pieces | None = None


class StockMoved(Noun):
    """It lies in another place."""

    place: str = Field(max_length=120)


class StockWrittenOff(Noun):
    """Some of it is of no use any more, or all of it where nothing is said."""

    why: str = Field(min_length=1, max_length=400)
    length: Length | None = None
    count: Pieces | None = None


_BOTH: dict[str, type[Noun]] = {
    "stock-received": StockReceived,
    "stock-reserved": StockReserved,
    "stock-freed": StockFreed,
    "stock-used": StockUsed,
    "stock-moved": StockMoved,
    "stock-written-off": StockWrittenOff,
}
#: Types that the log of a spool holds.
SPOOL: dict[str, type[Noun]] = _BOTH | {"stock-weighed": StockWeighed}
#: Types that the log of small parts holds.
PART: dict[str, type[Noun]] = _BOTH | {"stock-counted": StockCounted}
#: Each type of event of stock with its body today.
BODIES: dict[str, type[Noun]] = SPOOL | PART
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {}
