"""Stated ranges of new builds in many shops: of a known lot, of a new lot, of a new fibre.

Run by name; it builds some thousand lines, none of which teaches the next. Shares are of finished
lengths, told just before the proof and at the end, and of readings, inside the range stated at
95 %, with the misses on each side.
"""

from __future__ import annotations

import math
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np
import pytest

from simulated_bench.shop import Told, run_course

pytestmark = pytest.mark.benchmark
SHOPS = int(os.environ.get("SHOPS", "112"))
#: New lines of each kind in a shop
EACH = 9
#: Half of the range stated at 95 % [standard uncertainties]
HALF = 2.0


def _share(name: str, off: list[float]) -> float:
    """Print and give the share inside, with its own standard error and the misses."""
    some = np.array(off)
    inside = float(np.mean(np.abs(some) < HALF))
    error = math.sqrt(inside * (1.0 - inside) / some.size)
    sys.stdout.write(
        f"  {name}: {some.size}, inside {inside:.3f} +- {2.0 * error:.3f}, "
        f"above {np.mean(some >= HALF):.3f}, below {np.mean(some <= -HALF):.3f}\n"
    )
    return inside


def _kind(kind: str, rows: list[Told]) -> dict[str, float]:
    landed = np.mean([abs(r.off) <= 1.0 / 16.0 for r in rows])
    first = np.mean([abs(r.first_off) <= 1.0 / 16.0 for r in rows])
    sys.stdout.write(
        f"{kind}: {len(rows)} lines, right at the first proof {first:.3f}, landed {landed:.3f}\n"
    )
    return {
        "before the proof": _share(
            "finished length, told before the proof", [r.first for r in rows]
        ),
        "finished": _share("finished length, told at the end", [r.finished for r in rows]),
        "readings": _share("readings", [x for r in rows for x in r.readings]),
    }


def test_ranges_hold_for_known_lots_new_lots_and_new_fibres() -> None:
    """Between 93 and 97 of a hundred of each, as far as so many lines can tell."""
    with ProcessPoolExecutor(os.cpu_count() or 1, get_context("spawn")) as pool:
        shops = list(pool.map(run_course, [(2000 + seed, EACH) for seed in range(SHOPS)]))
    for kind in shops[0]:
        rows = [row for shop in shops for row in shop[kind]]
        for name, share in _kind(kind, rows).items():
            spare = 2.0 * math.sqrt(0.05 * 0.95 / len(rows))
            assert 0.93 - spare <= share <= 0.97 + spare, (kind, name)
