"""Pooling: how the spread of each unknown of the line model is parted over a shop's levels."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from strandwright.errors import SpecError

#: From the widest to a single build
LEVELS = ("shop", "bench", "family", "fibre", "lot", "builder", "build")


@dataclass(frozen=True)
class PooledSpread:
    """Shares of one unknown's variance.

    Attributes
    ----------
    name : str
        The unknown.
    shares : tuple of float
        One for each of :data:`LEVELS`, adding up to 1 [-]
    kind, source, note : str
        Where they come from.
    """

    name: str
    shares: tuple[float, ...]
    kind: str
    source: str
    note: str


def pooled_spreads() -> dict[str, PooledSpread]:
    """Give how the spread of every unknown is parted.

    Returns
    -------
    dict of str to PooledSpread
        By the unknown's name; a fresh dictionary each time.

    Raises
    ------
    SpecError
        If a row of the table does not add up.
    """
    return dict(_spreads())


@cache
def _spreads() -> dict[str, PooledSpread]:
    text = (files("strandwright.reference") / "pooling.toml").read_text(encoding="utf-8")
    found: dict[str, PooledSpread] = {}
    for name, row in tomllib.loads(text).items():
        shares = tuple(float(row[level]) for level in LEVELS)
        if min(shares) < 0.0 or abs(sum(shares) - 1.0) > 1e-9:
            rule = "must have shares from 0 that add up to 1"
            raise SpecError(f"pooling.{name}", str(shares), rule, "mend the table")
        found[name] = PooledSpread(name, shares, row["kind"], row["source"], row["note"])
    return found
