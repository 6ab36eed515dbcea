"""Week: the hours of a shop week by week, with days off and overtime."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from strandwright.planning.queue.hours import DAY, Hours, Spans, Window


@dataclass(frozen=True)
class Week:
    """The hours of a shop, week by week.

    Attributes
    ----------
    days : tuple of tuple
        For Monday to Sunday, from when to when [min]
    closed : frozenset of date
        Days on which it stays closed.
    extra : mapping
        Windows of single days that are added, for overtime [min]
    """

    days: tuple[Spans, ...]
    closed: Collection[date] = frozenset()
    extra: Mapping[date, Spans] = field(default_factory=dict[date, Spans])

    def hours(self, first: date, days: int) -> Hours:
        """Give the hours of some days.

        Parameters
        ----------
        first : date
            The first of them.
        days : int
            How many [-]

        Returns
        -------
        Hours
            Windows that touch are joined.
        """
        joined: list[Window] = []
        for n in range(days):
            day = first + timedelta(days=n)
            spans = () if day in self.closed else self.days[day.weekday()]
            for a, b in sorted((*spans, *self.extra.get(day, ()))):
                start, stop = a + n * DAY, b + n * DAY
                if joined and start <= joined[-1][1]:
                    joined[-1] = joined[-1][0], max(stop, joined[-1][1])
                else:
                    joined.append((start, stop))
        return Hours(datetime(first.year, first.month, first.day), tuple(joined))


#: A shop nobody told the hours of: Monday to Friday, nine to five; common practice, no source
USUAL = Week(tuple(((9 * 60, 17 * 60),) if day < 5 else () for day in range(7)))
