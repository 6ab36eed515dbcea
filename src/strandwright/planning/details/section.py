"""One section of details: a few rows under a heading."""

from __future__ import annotations

from dataclasses import dataclass

#: One row: what it is of, the answer, what else is to be known.
Row = tuple[str, str, str]


@dataclass(frozen=True)
class DetailSection:
    """A few rows under one heading.

    Attributes
    ----------
    key : str
        ``peep``, ``marks``, ``tying``, ``separator``, ``rules``; of a yoke ``yoke``,
        ``yoke-turns``, ``yoke-lean``; laid in ``laid-cut``, ``laid-lay``, ``laid-marks``,
        ``laid-hold``; of a crossbow's string ``rail``, ``breaks``, ``reinforced``; of the bow
        ``patches`` and ``cocked`` too.
    title : str
        Its heading.
    rows : tuple of (str, str, str)
        Name, answer, what else is to be known of each.
    notes : tuple of str
        What holds for all of it, one sentence each.
    """

    key: str
    title: str
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()
