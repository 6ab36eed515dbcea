"""Ware: what is bought and used up: strand or thread by the spool, a small part by the piece."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from pydantic import Field

from strandwright.errors import SpecError
from strandwright.reference import strands, threads
from strandwright.workshop.fields import Colour, Noun

WareKind: TypeAlias = Literal["strand", "thread", "part"]
WARE_KINDS: tuple[WareKind, ...] = get_args(WareKind)
#: Share of mass that is wax, for weighing; 5 to 15 % is told in the trade, from memory.
WAX_SHARE = 0.08
#: Spread of that share [-]
WAX_SPREAD = 0.03
#: A strand or thread that no table has: so wide that what its label says decides [kg/m]
_ANY_DENSITY = 2.0e-4
#: Standard deviation of its logarithm [-]
_ANY_SPREAD = 0.7


class Ware(Noun):
    """What is bought: two spools of one ware differ in their lot alone."""

    kind: WareKind
    name: str = Field(min_length=1, max_length=60, description="as a job names it")
    colour: Colour | None = Field(default=None, description="left out where it has no colour")
    size: str = Field(default="", max_length=40, description="such as 3/16 in, where sizes differ")

    @property
    def key(self) -> str:
        """Give the text that is the same for the same ware, such as ``strand hmpe #2F6B57``."""
        colour = "" if self.colour is None else self.colour.upper()
        return " ".join(part for part in (self.kind, self.name, colour, self.size) if part)

    @property
    def id(self) -> str:
        """Give the identity of the ware, as logs of its spools name it: the same key, the same."""
        return f"{self.kind}-{hashlib.sha256(self.key.encode()).hexdigest()[:24]}"

    @property
    def label(self) -> str:
        """Give the name people read, without the colour."""
        rows = {"strand": strands(), "thread": threads()}.get(self.kind, {})
        name = rows[self.name].name if self.name in rows else self.name
        return f"{name}, {self.size}" if self.size else name

    @property
    def is_counted(self) -> bool:
        """Whether it comes by the piece."""
        return self.kind == "part"


@dataclass(frozen=True)
class LinearDensity:
    """Mass per length of a ware as it comes off the spool, wax and all.

    Attributes
    ----------
    value : float
        The mass per length, > 0 [kg/m]
    relative : float
        Standard deviation of its logarithm [-]
    is_known : bool
        Whether a table has the ware.
    """

    value: float
    relative: float
    is_known: bool


def linear_density(ware: Ware) -> LinearDensity:
    """Give what the tables say of a ware's mass per length.

    Parameters
    ----------
    ware : Ware
        A strand or a thread.

    Returns
    -------
    LinearDensity
        With its spread, wax counted for strands; of a ware that no table has, hardly anything.

    Raises
    ------
    SpecError
        If it is a small part.
    """
    if ware.is_counted:
        rule = "must be a strand or a thread"
        raise SpecError("ware.kind", ware.kind, rule, "count small parts by the piece")
    if ware.kind == "strand" and ware.name in strands():
        bare = strands()[ware.name].linear_density
        spread = math.hypot(bare.relative_uncertainty, WAX_SPREAD / (1.0 + WAX_SHARE))
        return LinearDensity(bare.value * (1.0 + WAX_SHARE), spread, is_known=True)
    if ware.kind == "thread" and ware.name in threads():
        thread = threads()[ware.name].linear_density
        return LinearDensity(thread.value, thread.relative_uncertainty, is_known=True)
    return LinearDensity(_ANY_DENSITY, _ANY_SPREAD, is_known=False)
