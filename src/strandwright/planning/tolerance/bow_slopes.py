"""What a line's length off does to its bow, over the bows that agree with what is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.numerics.tally import Counted, Ruler
from strandwright.planning.bow.aims import tuned_rows
from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import BowModel, model_bow
from strandwright.planning.bow.touched import lane_of
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]
#: All figures of a bow together
ALL = "all"
#: How far past a tolerance, at least, changes are counted apart [-]
_REACH = 4.0


@dataclass(frozen=True)
class BowFigure:
    """A figure of the bow that is to stay as it is.

    Attributes
    ----------
    name : str
        In the job's words.
    unit : str
        Its SI unit.
    tolerance : float
        Either way, as the job asks for it or as practice has it [unit of the figure]
    stated : bool
        Whether the job asks for it.
    ruler : Ruler
        On which its changes are counted.
    """

    name: str
    unit: str
    tolerance: float
    stated: bool
    ruler: Ruler


@dataclass(frozen=True, eq=False)
class BowSlopes:
    """Changes of a bow's figures for a line that is longer, to first order.

    Attributes
    ----------
    line : str
        Which of the bow's lines it is.
    figures : tuple of BowFigure
        What is followed.
    slopes : ndarray, shape (bows, figures)
        Of every bow that agrees with what is known [unit of the figure per m]
    """

    line: str
    figures: tuple[BowFigure, ...]
    slopes: Floats

    def drawn(self, stream: np.random.Generator, count: int) -> Floats:
        """Draw the bow that each line goes on.

        Parameters
        ----------
        stream : numpy.random.Generator
            Where chance comes from.
        count : int
            How many lines, B [-]

        Returns
        -------
        ndarray, shape (B, figures)
            Slopes of the bow of each [unit of the figure per m]
        """
        return self.slopes[stream.integers(len(self.slopes), size=count)]

    def counted(
        self, way: str, error: Floats, on_bow: Floats
    ) -> tuple[dict[str, int], dict[str, Counted]]:
        """Count what lines of some error do to their bows.

        Parameters
        ----------
        way : str
            Put before each name.
        error : ndarray, shape (B,)
            Finished length less the one asked for [m]
        on_bow : ndarray, shape (B, figures)
            Slopes of the bow of each [unit of the figure per m]

        Returns
        -------
        counts : dict of str to int
            ``<way>.bow.<figure>``, within its tolerance; and within all of them [-]
        spreads : dict of str to Counted
            The changes, by the same names.
        """
        change = error[:, None] * on_bow
        within = np.abs(change) <= np.array([f.tolerance for f in self.figures])
        counts = {f"{way}.bow.{ALL}": int(np.count_nonzero(within.all(axis=1)))}
        spreads: dict[str, Counted] = {}
        for place, figure in enumerate(self.figures):
            name = f"{way}.bow.{figure.name}"
            counts[name] = int(np.count_nonzero(within[:, place]))
            spreads[name] = figure.ruler.counted(change[:, place])
        return counts, spreads


def bow_slopes(job: Job, plan: Plan) -> BowSlopes:
    """Work out what a length off does to a job's bow.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.

    Returns
    -------
    BowSlopes
        Of the figures that are tuned on a bow of the kind, without what nothing stops.

    Raises
    ------
    InputError
        If the bow is not known well enough, or no bow agrees with what is said of it.
    InputErrors
        For several figures left out.
    """
    model = model_bow(question(job, plan))
    line = lane_of(job, model).line
    wheels = len(model.family.strung.bow.wheels)
    table, named = line_slopes(model, line), model.response.names
    far = _REACH * 2.0 * plan.landing.blind.u
    figures: list[BowFigure] = []
    columns: list[Floats] = []
    for name, followed, row in tuned_rows(wheels=wheels > 0, crossbow=model.crossbow):
        column = table[:, named.index(followed)]
        lone = name == "timing" and wheels != 2
        if lone or not np.isfinite(column).all():
            continue
        asked = getattr(job.bow.wanted, name, None)
        own = None if asked is None else asked.half_range
        datum = practice(row)
        within = datum.value if own is None else float(own)
        reach = max(_REACH * within, far * float(np.abs(column).max()))
        ruler = Ruler(-reach, reach)
        figures.append(BowFigure(name, datum.unit, within, own is not None, ruler))
        columns.append(column)
    return BowSlopes(line, tuple(figures), np.stack(columns, axis=1))


def line_slopes(model: BowModel, line: str) -> Floats:
    """Changes of everything followed by the length of a whole line, each reach by its share.

    Parameters
    ----------
    model : BowModel
        The bows.
    line : str
        One of its lines.

    Returns
    -------
    ndarray, shape (bows, figures)
        In the order of the response's names [unit of the figure per m]
    """
    rig, members = model.family.strung.rig, model.family.members
    own = rig.of_line == rig.bow.line(line)
    natural = np.broadcast_to(rig.natural, (members, rig.natural.shape[1]))[:, own]
    share = natural / natural.sum(axis=1, keepdims=True)
    return np.einsum("bfr,br->bf", model.response.table()[:, :, own], share)
