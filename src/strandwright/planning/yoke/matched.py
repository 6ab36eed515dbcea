"""Matching: both legs as they were read, and the turns that make them alike."""

from __future__ import annotations

import math

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.yoke.matching import LEGS_MATCH, LegMatch, match_alone, match_together
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import at_mean
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.result.yoke import LegsMatched
from strandwright.planning.settings import round_to
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.planning.yoke.legs import NAMES
from strandwright.planning.yoke.words import match_said
from strandwright.units import Entered
from strandwright.workshop.makings import BuildLegs


def legs_matched(yoke: PlannedYoke, read: BuildLegs) -> LegsMatched:
    """Judge both legs as they were read.

    Parameters
    ----------
    yoke : PlannedYoke
        The yoke.
    read : BuildLegs
        Both lengths with their conditions; it has been looked at by
        :func:`~strandwright.planning.yoke.refusals.refuse_legs`.

    Returns
    -------
    LegsMatched
        Their difference with its +-, and what makes them alike; no turns where none can.

    Notes
    -----
    The +- is that of tape and load on either reading. Read together the pulls follow from the
    lengths, so an error of either acts through them as well; each is put in by itself.
    """
    load = legs_load(yoke, read.hung) if read.load is None else read.load.si
    turns = tuple(
        yoke.leg_turns if given is None else given for given in (read.left_turns, read.right_turns)
    )
    noise = _noise(yoke, read, load)
    match = _match(yoke, read, load, turns, noise)
    u = float(np.sqrt(((match.difference[1:] - match.difference[0]) ** 2).sum()))
    difference = Estimate(float(match.difference[0]), u, "m")
    longer = NAMES[int(match.longer[0])]
    put, moved = (_halves(float(values[0])) for values in (match.turns, match.exchanged))
    found = LegsMatched(
        difference=difference,
        bound=LEGS_MATCH,
        matched=bool(match.matched[0]),
        longer=longer,
        turns=put,
        moved=None if math.isnan(moved) else moved,
        left_turns=turns[0],
        right_turns=turns[1],
        load=load,
        together=read.hung == "together",
        said=(),
    )
    return match_said(found, yoke.job.paper, half_apart=_half_apart(match, difference.value))


def legs_load(yoke: PlannedYoke, hung: str) -> float:
    """Load at which both legs are read.

    Parameters
    ----------
    yoke : PlannedYoke
        The yoke.
    hung : str
        ``one by one`` or ``together``.

    Returns
    -------
    float
        That of serving; half of it for one leg, whose strands then carry as much [N]
    """
    return yoke.prepared.loads.serve * (0.5 if hung == "one by one" else 1.0)


def _halves(turns: float) -> float:
    return turns if math.isnan(turns) else round_to(turns, 0.5)


def _half_apart(match: LegMatch, difference: float) -> float:
    """Length that half a turn into the longer leg takes off the difference, about [m]."""
    turns = float(match.turns[0])
    return abs(difference) * 0.5 / turns if turns > 1e-6 else math.inf


def _noise(yoke: PlannedYoke, read: BuildLegs, load: float) -> tuple[float, ...]:
    """Standard uncertainties of left, right and, where it was read, overall [m]."""
    lengths: list[Entered] = [read.left, read.right]
    if read.overall is not None:
        lengths.append(read.overall)
    # A leg by itself pulls on half the strands, and stretches as all of them do at twice that.
    stretching = load * (2.0 if read.hung == "one by one" else 1.0)
    return tuple(
        read_noise(
            yoke.prepared, stretching, length=length, stated_load=read.load, heard=read.heard
        )
        for length in lengths
    )


def _match(
    yoke: PlannedYoke,
    read: BuildLegs,
    load: float,
    turns: tuple[float, ...],
    noise: tuple[float, ...],
) -> LegMatch:
    """Compare as read, and with each length off by its standard uncertainty, one by one."""
    lengths = [read.left.si, read.right.si]
    if read.overall is not None:
        lengths.append(read.overall.si)
    rows = np.array(lengths) + np.vstack([np.zeros(len(lengths)), np.diag(noise)])
    count = len(rows)
    mean = at_mean(yoke.parameters)
    q = {name: np.repeat(value, count) for name, value in mean.items()}
    pull, put = np.full(count, load), np.tile(turns, (count, 1))
    if read.hung == "one by one":
        return match_alone(yoke.on_pin, q, rows[:, :2], pull, put)
    return _together(yoke, read, q, rows, pull, put)


def _together(
    yoke: PlannedYoke,
    read: BuildLegs,
    q: dict[str, FloatArray],
    rows: FloatArray,
    pull: FloatArray,
    put: FloatArray,
) -> LegMatch:
    assert read.span is not None
    model = yoke.on_axle(read.span.si)
    overall = rows[:, 2] if rows.shape[1] > 2 else np.full(len(rows), yoke.line.length)
    return match_together(model, q, rows[:, :2], overall, pull, put)
