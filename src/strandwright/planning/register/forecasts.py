"""Forecasts: what is reckoned of each line, once until something is written of it."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from strandwright.errors import InputError, InputErrors, NotFound, SolveError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.ports import Store
from strandwright.planning.register.intervals import Called, called_by
from strandwright.planning.register.lines import RegisterLine, watched_lines
from strandwright.planning.settling.answer import Act
from strandwright.planning.settling.keeping import answer_for

#: Lines whose forecasts are remembered [-]
_REMEMBERED = 20_000


@dataclass(frozen=True)
class Forecast:
    """What the settling of a line says of its next look.

    Attributes
    ----------
    act : str
        The verdict; empty where none can be told.
    why : str
        Why it is taken out of service, or why no verdict can be told.
    halves : int
        Half turns advised [half turn]
    shots : int
        Count of shots at which it is looked at [-]
    at : datetime or None
        The day of it, at this line's pace.
    """

    act: Act | str
    why: str
    halves: int
    shots: int
    at: datetime | None


class Forecasts:
    """Forecasts of a desk's lines, each reckoned once until something is written of it.

    Parameters
    ----------
    desk : Desk
        The desk.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._lock = threading.Lock()
        self._known: OrderedDict[tuple[str, int], Forecast] = OrderedDict()
        self._lines: tuple[int, tuple[RegisterLine, ...]] = (-1, ())
        self._called: tuple[datetime | None, dict[RegisterLine, Called]] = (None, {})

    @property
    def store(self) -> Store:
        """Where the lines are kept."""
        return self._desk.store

    def lines(self) -> tuple[RegisterLine, ...]:
        """Give every line on a bow, read anew when anything kept has changed.

        Returns
        -------
        tuple of RegisterLine
            What happened last first.
        """
        mark = self._desk.store.mark()
        known, lines = self._lines
        if known != mark:
            lines = watched_lines(self._desk.store)
            self._lines = (mark, lines)
        return lines

    def called(self, lines: Sequence[RegisterLine], now: datetime) -> dict[str, Called]:
        """Say what calls lines in by their records and by what sources say, to the hour.

        Parameters
        ----------
        lines : sequence of RegisterLine
            The lines.
        now : datetime
            Now.

        Returns
        -------
        dict
            By build.
        """
        hour = now.replace(minute=0, second=0, microsecond=0)
        at, known = self._called
        before = known if at == hour else {}
        found = {line: before.get(line) or called_by(line, now) for line in lines}
        self._called = (hour, before | found if len(before) < _REMEMBERED else found)
        return {line.build: one for line, one in found.items()}

    def of(self, lines: Sequence[RegisterLine], seconds: float | None) -> dict[str, Forecast]:
        """Give the forecasts of lines, and reckon more for a while.

        Parameters
        ----------
        lines : sequence of RegisterLine
            The lines, those that matter most first.
        seconds : float or None
            How long to reckon at most; None until all are told [s]

        Returns
        -------
        dict
            By build; a line that is left out is told the next time.
        """
        began, told = time.monotonic(), dict[str, Forecast]()
        for line in lines:
            key = (line.build, line.entries)
            with self._lock:
                known = self._known.get(key)
            if known is None and (seconds is None or time.monotonic() - began < seconds):
                known = self._reckoned(line.build)
                with self._lock:
                    self._known[key] = known
                    while len(self._known) > _REMEMBERED:
                        self._known.popitem(last=False)
            if known is not None:
                told[line.build] = known
        return told

    def _reckoned(self, build: str) -> Forecast:
        try:
            answer = answer_for(self._desk, build)
        except (InputError, InputErrors, SolveError, NotFound) as error:
            return Forecast("", str(error), 0, 0, None)
        return Forecast(answer.act, answer.why, answer.halves, answer.look_shots, answer.look_at)
