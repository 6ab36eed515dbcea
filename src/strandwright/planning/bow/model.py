"""The modelled bow: bows that agree with what a job knows, drawn, and worked out once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.bent_family import (
    BentFamily,
    BentKnown,
    BentSizes,
    bent_taken,
    fit_bent_family,
)
from strandwright.bow.contact import Lane, contact_map
from strandwright.bow.draw_cycle import DrawCycle, draw_to_wall, redraw
from strandwright.bow.equilibrium import stand
from strandwright.bow.family import Family, fit_family, taken
from strandwright.bow.figures import Figures, figures
from strandwright.bow.rail import on_rail
from strandwright.bow.sensitivity import Response, respond
from strandwright.bow.systems import Sizes
from strandwright.errors import SpecError
from strandwright.numerics.outcome import Outcome
from strandwright.planning.bow.known import BowQuestion

Floats = NDArray[np.float64]
#: Bows looked for; enough for a 95 % range from the spread.
MEMBERS = 64
#: Largest change of a line that is looked at: 2 in; past it another bow is meant [m].
_MOST_LONGER = 0.0508
#: The same without wheels, where less is left open.
BENT_MEMBERS = 24
#: Of the draws of a rail's width.
_RAIL_SEED = 1


@dataclass(frozen=True)
class BowModel:
    """Bows that agree with what is known of one, and what they say.

    Attributes
    ----------
    question : BowQuestion
        What was asked.
    family : Family or BentFamily
        The bows.
    lanes : tuple of Lane
        What each line touches.
    response : Response
        What each reach's length does.
    middle : Family or BentFamily
        The one bow nearest the middle of them all, for drawing.
    """

    question: BowQuestion
    family: Family | BentFamily
    lanes: tuple[Lane, ...]
    response: Response
    middle: Family | BentFamily

    @property
    def lines(self) -> tuple[str, ...]:
        """Names of the bow's lines."""
        return tuple(line.name for line in self.family.strung.bow.lines)

    @property
    def crossbow(self) -> bool:
        """Whether it lies flat, and ends at a latch."""
        return self.question.known.rail is not None


@lru_cache(maxsize=12)
def model_bow(question: BowQuestion) -> BowModel:
    """Find bows that agree with what is known, and work out what they say.

    Parameters
    ----------
    question : BowQuestion
        What is known, and sizes met with.

    Returns
    -------
    BowModel
        The same for the same question.

    Raises
    ------
    SpecError
        If hardly any bow of the kind agrees with the figures.
    """
    family: Family | BentFamily
    middle: Family | BentFamily
    if isinstance(question.known, BentKnown):
        family = fit_bent_family(question.known, dict(question.prior), BENT_MEMBERS)
        middle = bent_taken(family, _middling(family.sizes))
    else:
        family = fit_family(question.known, dict(question.prior), MEMBERS)
        middle = taken(family, _middle(family))
    lanes, response = contact_map(family.cycle), respond(family.cycle)
    if question.known.rail is not None:
        lanes = _on_rail(lanes, family, question.known.rail)
    return BowModel(question, family, lanes, response, middle)


def _on_rail(
    lanes: tuple[Lane, ...], family: Family | BentFamily, rail: tuple[float, float]
) -> tuple[Lane, ...]:
    """Add what a crossbow's rail touches of its string, every member with its own width of it."""
    draws = np.random.default_rng(_RAIL_SEED).standard_normal(family.members)
    width = np.maximum(rail[0] + rail[1] * draws, 0.2 * rail[0])
    return tuple(
        lane if lane.nock is None else on_rail(lane, family.cycle, width) for lane in lanes
    )


def _spread_out(sizes: Sizes | BentSizes, members: int) -> Floats:
    """How far each member's sizes are from the middle of them all, in their spread."""
    columns = [
        np.broadcast_to(getattr(sizes, name), (members,)) for name in sizes.__dataclass_fields__
    ]
    table = np.stack(columns, axis=1)
    spread = table.std(axis=0)
    off = (table - table.mean(axis=0)) / np.where(spread > 0, spread, np.inf)
    return np.mean(off**2, axis=1)


def _middling(sizes: BentSizes) -> NDArray[np.intp]:
    return np.array([int(np.argmin(_spread_out(sizes, len(sizes.riser))))])


def _middle(family: Family) -> NDArray[np.intp]:
    """Member nearest what is known, and among those alike the one of the middling sizes."""
    far = _spread_out(family.sizes, family.members)
    for name, (wanted, u) in family.known.figures:
        read = getattr(family.figures, name, None)
        if read is not None and read.ndim == 1:
            far = far + ((read - wanted) / u) ** 2
    return np.array([int(np.argmin(far))])


@dataclass(frozen=True)
class WhatIf:
    """The middle bow with lines of other lengths.

    Attributes
    ----------
    family : Family or BentFamily
        The bow so changed.
    figures : Figures
        Its figures.
    change : dict of str to (float, float)
        Change of each figure over the whole family, to first order, with its standard
        uncertainty [SI].
    """

    family: Family | BentFamily
    figures: Figures
    change: dict[str, tuple[float, float]]


def what_if(model: BowModel, longer: dict[str, float]) -> WhatIf:
    """Stand and draw the middle bow with lines made longer or shorter.

    Parameters
    ----------
    model : BowModel
        The bows.
    longer : dict of str to float
        For each line how much longer it is, shorter where negative, -2 to 2 in [m]

    Returns
    -------
    WhatIf
        The draw of the middle bow solved anew; changes of the family beside it.

    Raises
    ------
    SpecError
        If a line is not the bow's, or the bow cannot stand so.
    """
    share = reach_shares(model, longer)
    middle = model.middle
    natural = middle.strung.rig.natural + share
    drawn = redraw(middle.cycle, natural)
    if not drawn.ok[0]:
        drawn = _anew(middle, natural)
    if not drawn.ok[0]:
        reason = drawn.value.trouble[0].value
        raise SpecError("lines", "so changed", reason, "change the lines by less")
    table = np.einsum("bfr,r->bf", np.nan_to_num(model.response.table()), share[0])
    spread = table.std(axis=0, ddof=1)
    names = model.response.names
    change = {n: (float(table[:, k].mean()), float(spread[k])) for k, n in enumerate(names)}
    cycle = drawn.value
    read = figures(cycle)
    changed = replace(middle, cycle=cycle, figures=read)
    return WhatIf(changed, read, change)


def _anew(middle: Family | BentFamily, natural: Floats) -> Outcome[DrawCycle]:
    """Draw a bow that has moved too far to be found from where it stood."""
    was = middle.cycle
    rig = was.rig.taken(np.zeros(1, dtype=np.intp), natural)
    braced = stand(rig, was.q[:, 0], was.direction[:, 0], hold_draw=False).value
    longest = was.draw[:, -1] + (0.06 if rig.bow.stops else 0.0)
    return draw_to_wall(rig, braced.q, braced.potential.spans.direction, longest, was.points)


def reach_shares(model: BowModel, longer: dict[str, float]) -> Floats:
    """Spread each line's change over its reaches by their length.

    Parameters
    ----------
    model : BowModel
        The bows.
    longer : dict of str to float
        Change of each line's length [m]

    Returns
    -------
    ndarray, shape (1, reaches)
        Change of each reach [m].

    Raises
    ------
    SpecError
        If a line is not the bow's, or a change is over 2 in.
    """
    rig = model.middle.strung.rig
    share = np.zeros((1, len(rig.of_line)))
    for name, change in longer.items():
        index = rig.bow.line(name)
        if not abs(change) <= _MOST_LONGER:
            rule = "must be 2 in at most, either way"
            raise SpecError(
                f"lines.{name}", f"{change / 0.0254:.3g} in", rule, "give a smaller one"
            )
        own = rig.of_line == index
        part = rig.natural[0] * own
        share[0] += change * part / part.sum()
    return share
