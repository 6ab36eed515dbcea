"""On a spool: what is left of the ware, from its label, the tables, uses and weighings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.reference import practice
from strandwright.statistics.dwindling import Beginning, Left, Taken, Told, Weighing, left_on
from strandwright.units import Entered
from strandwright.workshop.events import Event
from strandwright.workshop.happenings.stock import (
    StockReceived,
    StockUsed,
    StockWeighed,
    StockWrittenOff,
)
from strandwright.workshop.wares import WAX_SHARE, linear_density

#: What a label says of mass per length may be off by this, as with a strand of one's own [-]
_LABEL_DENSITY = 0.06
#: No scale is thought to be surer than this [kg]
_FINEST = 1e-6
#: A weighing further off than this from all the rest is doubted [-]
DOUBTED = 4.0


@dataclass(frozen=True)
class OnSpool:
    """What is left on a spool, and what its weighings have taught of it.

    Attributes
    ----------
    length, length_u : float
        Length left, >= 0, and its standard uncertainty [m]
    mass, mass_u : float
        Mass of it without the empty spool, >= 0, and its standard uncertainty [kg]
    full, full_u : float
        Length it came with, and its standard uncertainty [m]
    density, density_u : float
        Mass per length, wax and all, and its standard uncertainty [kg/m]
    tare, tare_u : float
        Mass of the empty spool, and its standard uncertainty [kg]
    beyond : float
        How much more was taken than was thought to be there; 0 where there was enough [m]
    weighings : int
        How often it was weighed [-]
    doubted : tuple of str
        Weighings that do not fit all the rest, by their events.
    """

    length: float = 0.0
    length_u: float = 0.0
    mass: float = 0.0
    mass_u: float = 0.0
    full: float = 0.0
    full_u: float = 0.0
    density: float = 0.0
    density_u: float = 0.0
    tare: float = 0.0
    tare_u: float = 0.0
    beyond: float = 0.0
    weighings: int = 0
    doubted: tuple[str, ...] = ()


def on_spool(received: StockReceived, happened: Sequence[Event], *, gone: bool) -> OnSpool:
    """Tell what is left on a spool.

    Parameters
    ----------
    received : StockReceived
        What came in: a strand or a thread.
    happened : sequence of Event
        What happened since, by its moment.
    gone : bool
        Whether it was written off altogether: then nothing is left.

    Returns
    -------
    OnSpool
        What is left.
    """
    history = [step for e in happened if (step := _step(e)) is not None]
    weighed = [e.id for e in happened if isinstance(e.body, StockWeighed)]
    left = left_on(_beginning(received), history)
    doubted = (e for e, m in zip(weighed, left.misfits, strict=True) if abs(m) > DOUBTED)
    return _told(left, len(weighed), tuple(doubted), gone)


def _told(left: Left, weighings: int, doubted: tuple[str, ...], gone: bool) -> OnSpool:
    here = 0.0 if gone else 1.0
    return OnSpool(
        length=here * left.length,
        length_u=here * left.length_u,
        mass=here * left.mass,
        mass_u=here * left.mass_u,
        full=left.full,
        full_u=left.full_u,
        density=left.density,
        density_u=left.density_u,
        tare=left.tare,
        tare_u=left.tare_u,
        beyond=left.beyond,
        weighings=weighings,
        doubted=doubted,
    )


def _beginning(received: StockReceived) -> Beginning:
    table = linear_density(received.ware)
    tare = practice("stock.tare")
    told = Told(tare.value, tare.standard_uncertainty)
    if received.tare is not None:
        told = Told(received.tare.si, scale_spread(received.tare, None))
    label = received.linear_density
    label_density = None
    if label is not None:
        wax = WAX_SHARE if received.ware.kind == "strand" else 0.0
        spread = label.standard_uncertainty
        relative = _LABEL_DENSITY if spread is None else max(spread / label.si, 1e-6)
        label_density = Told(label.si * (1.0 + wax), relative)
    return Beginning(
        density=Told(table.value, table.relative),
        tare=told,
        length=_by_label(received.length, "stock.label_length"),
        mass=_by_label(received.mass, "stock.label_mass"),
        label_density=label_density,
    )


def _by_label(entered: Entered | None, row: str) -> Told | None:
    """Give what a label says, as far off as it was said to be or as labels are."""
    if entered is None or entered.si <= 0.0:
        return None
    spread = entered.standard_uncertainty
    return Told(entered.si, entered.si * _spread_of(row) if spread is None else spread)


def _spread_of(row: str) -> float:
    return practice(row).relative_uncertainty


def scale_spread(entered: Entered, step: Entered | None) -> float:
    """Give the standard uncertainty of a weighing.

    Parameters
    ----------
    entered : Entered
        What the scale showed, with its +- where one was typed.
    step : Entered or None
        Smallest step of the scale; left out, the last place that was typed.

    Returns
    -------
    float
        Standard uncertainty, that of an even chance within the step [kg]
    """
    if entered.standard_uncertainty is not None:
        return max(entered.standard_uncertainty, _FINEST)
    size = float(entered.step) if step is None else step.si
    return max(size / math.sqrt(12.0), _FINEST)


def _step(event: Event) -> Taken | Weighing | None:
    """Give what an event says of the length on a spool, or of its mass."""
    match event.body:
        case StockUsed(length=length) | StockWrittenOff(length=length) if length is not None:
            spread = length.standard_uncertainty
            known = length.si * _spread_of("stock.used_length") if spread is None else spread
            return Taken(length.si, known)
        case StockWeighed(gross=gross, step=step):
            return Weighing(gross.si, scale_spread(gross, step))
        case _:
            return None
