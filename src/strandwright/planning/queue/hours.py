"""Hours: when a shop is open, and the clock that runs only then.

Minutes are whole. A minute by the clock is counted from the midnight of the first day that is laid
out; an *open* minute counts only while somebody is there, from the first opening. Closing and the
next opening are one open minute: what ends at it ends at closing, what begins at it begins at
opening. Handwork that may be broken off at closing then has one length, whenever it begins.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import accumulate
from typing import NamedTuple

#: Minutes in a day [min]
DAY = 1440
Window = tuple[int, int]
Spans = tuple[Window, ...]


class Wait(NamedTuple):
    """Open minutes at which a wait may begin, and how long it is by the open clock.

    Attributes
    ----------
    first, last : int
        The first of the minutes and the last [min]
    takes : int or None
        Open minutes it takes; None where it ends while the shop is closed [min]
    until : int
        Open minute of the closing in which it then ends [min]
    passes : int
        Whole openings it goes by before that [-]
    """

    first: int
    last: int
    takes: int | None
    until: int = 0
    passes: int = 0


@dataclass(frozen=True)
class Hours:
    """When somebody is there.

    Attributes
    ----------
    origin : datetime
        Midnight of the first day, by the shop's clock.
    windows : tuple of tuple
        From when to when it is open by the clock, in order and apart from each other [min]
    """

    origin: datetime
    windows: Spans

    @cached_property
    def bounds(self) -> tuple[int, ...]:
        """Open minutes of the first opening and of every closing [min]."""
        return (0, *accumulate(b - a for a, b in self.windows))

    def minute(self, moment: datetime) -> int:
        """Give a moment as a minute by the clock.

        Parameters
        ----------
        moment : datetime
            By the shop's clock.

        Returns
        -------
        int
            Rounded up [min]
        """
        return -((self.origin - moment) // timedelta(minutes=1))

    def moment(self, minute: int) -> datetime:
        """Give a minute by the clock as a moment.

        Parameters
        ----------
        minute : int
            It [min]

        Returns
        -------
        datetime
            By the shop's clock.
        """
        return self.origin + timedelta(minutes=minute)

    def opened(self, minute: int) -> int:
        """Give how long the shop has been open by then.

        Parameters
        ----------
        minute : int
            By the clock [min]

        Returns
        -------
        int
            Open minutes [min]
        """
        at = bisect_right(self.windows, minute, key=_start) - 1
        if at < 0:
            return 0
        a, b = self.windows[at]
        return self.bounds[at] + min(minute, b) - a

    def begins(self, opened: int) -> int:
        """Give when by the clock something begins.

        Parameters
        ----------
        opened : int
            Open minutes [min]

        Returns
        -------
        int
            At a closing, the next opening [min]
        """
        at = min(bisect_right(self.bounds, opened) - 1, len(self.windows) - 1)
        return self.windows[at][0] + opened - self.bounds[at]

    def ends(self, opened: int) -> int:
        """Give when by the clock something ends.

        Parameters
        ----------
        opened : int
            Open minutes [min]

        Returns
        -------
        int
            At an opening, the closing before it [min]
        """
        at = max(bisect_left(self.bounds, opened) - 1, 0)
        at = min(at, len(self.windows) - 1)
        return self.windows[at][0] + opened - self.bounds[at]

    def closing(self, day: date) -> int:
        """Give when a day's work is over.

        Parameters
        ----------
        day : date
            The day.

        Returns
        -------
        int
            Its last closing, or the last one before it, in open minutes; below 0 where the day
            lies before all that are laid out, by a usual day for each [min]
        """
        days = (day - self.origin.date()).days
        if days < 0:
            return days * (self.bounds[1] if self.windows else DAY)
        return self.opened((days + 1) * DAY)

    def is_open(self, minute: int) -> bool:
        """Say whether work may begin then.

        Parameters
        ----------
        minute : int
            By the clock [min]

        Returns
        -------
        bool
            Opening counts as open, closing does not.
        """
        at = bisect_right(self.windows, minute, key=_start) - 1
        return at >= 0 and minute < self.windows[at][1]

    def whole(self, minutes: int) -> Spans:
        """Give when work may begin that must end before the shop closes.

        Parameters
        ----------
        minutes : int
            How long it is [min]

        Returns
        -------
        tuple of tuple
            First and last open minute of each stretch [min]
        """
        found = self._whole.get(minutes)
        if found is None:
            pairs = zip(self.bounds, self.bounds[1:], strict=False)
            found = tuple((a, b - minutes) for a, b in pairs if b - a >= minutes)
            self._whole[minutes] = found
        return found

    def waits(self, minutes: int) -> tuple[Wait, ...]:
        """Give how long a wait by the clock is in open minutes, by when it begins.

        Parameters
        ----------
        minutes : int
            By the clock [min]

        Returns
        -------
        tuple of Wait
            In order; together they are every open minute after the first opening, as long as the
            hours are known in which the wait ends.
        """
        found = self._waits.get(minutes)
        if found is None:
            found = tuple(w for i in range(len(self.windows)) for w in self._waits_in(i, minutes))
            self._waits[minutes] = found
        return found

    def _waits_in(self, i: int, minutes: int) -> list[Wait]:
        """Waits that begin in one window, by the window or the closed time they end in."""
        (a, b), low = self.windows[i], self.bounds[i]
        found: list[Wait] = []
        for k in range(i, len(self.windows)):
            x, y = self.windows[k]
            if x >= b + minutes:
                break
            # What ends with an opening ended while it was closed: both are one open minute.
            inside = max(a + 1, x - minutes + 1), min(b, y - minutes)
            # Open minutes from the beginning to the end, whatever is closed between them.
            takes = self.bounds[k] - low + minutes - (x - a)
            found.append(Wait(inside[0] - a + low, inside[1] - a + low, takes))
            following = self.windows[k + 1][0] if k + 1 < len(self.windows) else None
            if following is not None:
                shut = max(a + 1, y - minutes + 1), min(b, following - minutes)
                closing = self.bounds[k + 1]
                found.append(Wait(shut[0] - a + low, shut[1] - a + low, None, closing, k - i))
        return [wait for wait in found if wait.first <= wait.last]

    _whole: dict[int, Spans] = field(
        default_factory=dict[int, Spans], init=False, compare=False, repr=False
    )
    _waits: dict[int, tuple[Wait, ...]] = field(
        default_factory=dict[int, tuple[Wait, ...]], init=False, compare=False, repr=False
    )


def _start(window: Window) -> int:
    return window[0]
