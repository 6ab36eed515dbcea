"""Figures: what the bow measured before and measures now, and whether it is as it was."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.orders.looking import figures_of
from strandwright.reference.fitting import as_it_was
from strandwright.units import Entered
from strandwright.workshop.fit_state import FitState
from strandwright.workshop.happenings.order import Baseline


@dataclass(frozen=True)
class Compared:
    """One figure of the bow, before and now.

    Attributes
    ----------
    name : str
        Its field in a baseline.
    label : str
        What a page calls it.
    before : Entered, str or None
        As the bow came, or is wanted; None where that is not known.
    now : Entered, str or None
        As it was read last; None where it was not.
    off : float or None
        Now less before, in SI; None where one of them is no quantity or not known [m] or [N] or [-]
    within : float or None
        As near as this it is as it was, in SI; None where nothing says it [m] or [N] or [-]
    needed : bool
        Whether the walk waits for it.
    """

    name: str
    label: str
    before: Entered | str | None
    now: Entered | str | None
    off: float | None
    within: float | None
    needed: bool

    @property
    def is_right(self) -> bool | None:
        """Whether it is as it was; None where that cannot be said."""
        if self.off is None or self.within is None:
            return None
        return abs(self.off) <= self.within


def compared(state: FitState) -> tuple[Compared, ...]:
    """Compare the figures of the bow with those it had.

    Parameters
    ----------
    state : FitState
        The fit.

    Returns
    -------
    tuple of Compared
        In the order of reading; empty before the fit is begun.
    """
    if state.begun is None:
        return ()
    before = state.begun.before or Baseline()
    now = latest(state)
    return tuple(
        _one(figure.name, figure.label, getattr(before, figure.name), getattr(now, figure.name),
             needed=figure.needed)
        for figure in figures_of(state.begun.bow)
        if figure.name != "temperature"
    )  # fmt: skip


def latest(state: FitState) -> Baseline:
    """Give each figure as it was read last, the lines being on.

    Parameters
    ----------
    state : FitState
        The fit.

    Returns
    -------
    Baseline
        Without what was never read.
    """
    found = Baseline()
    for one in state.measured:
        told = one.body.figures
        given = {name: getattr(told, name) for name in told.model_fields_set}
        found = found.model_copy(update=given)
    return found


def _one(
    name: str, label: str, before: Entered | str | None, now: Entered | str | None, *, needed: bool
) -> Compared:
    off = within = None
    if isinstance(before, Entered) and isinstance(now, Entered):
        off = now.si - before.si
        row = as_it_was(name)
        told = before.half_range
        within = float(told) if told is not None else None if row is None else row.value
    return Compared(name, label, before or None, now or None, off, within, needed)
