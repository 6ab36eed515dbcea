"""A skein that stands under its load at the simulated bench: what is read of it, what is true."""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from simulated_bench.bench import STEEL, Bench
from simulated_bench.world import INCH, LBF

#: When somebody looks, after the load came on [s]
LOOKS = (60.0, 120.0, 240.0, 480.0, 780.0, 1200.0, 1740.0)
#: Relative standard deviation of heard loads: of all alike, and of each by itself
HEARD = (0.03, 0.004)
#: Standard deviation of one caliper reading between the posts, and what is written with it [in]
CALIPER = 0.001
#: Drift of the room while it stands, standard deviation [K]
DRIFT = 1.0
#: A strap alone would let go of its share of the load for each decade of time from here [s]
STRAP_START = 5.0


@dataclass(frozen=True)
class Stood:
    """What was read while it stood, and what was true.

    Attributes
    ----------
    bodies : list of dict
        What each look tells, as an event holds it.
    line : float
        How much longer the line itself got from the first look to the last, at the load of the
        step and the first warmth [m]
    bench : float
        How much nearer the posts came in that time [m]
    soon : float
        How much longer the line itself gets in ten minutes more [m]
    """

    bodies: list[dict[str, Any]]
    line: float
    bench: float
    soon: float


def stand(bench: Bench, load: float, seed: int, step: str, *, tight: bool = False) -> Stood:
    """Pull a skein up to a load, let it stand, and look at it.

    Parameters
    ----------
    bench : Bench
        The bench with the skein on it.
    load : float
        Load on the gauge [N]
    seed : int
        Seed of what the looks misread.
    step : str
        Identity of the step.
    tight : bool
        True where the strap is pulled up to the load again before each look.

    Returns
    -------
    Stood
        What was read, and the truth.
    """
    random = np.random.default_rng([31, seed])
    alike, drift = random.normal(0.0, HEARD[0]), random.normal(0.0, DRIFT)
    count, first = len(bench.natural), load * bench.truth["gauge"]
    bodies: list[dict[str, Any]] = []
    lengths: list[float] = []
    posts: list[float] = []
    true, before, began = first, 0.0, bench.warmth
    stood_at = bench.bare_length(first)
    per_load = (stood_at - bench.bare_length(0.9 * first)) / 0.1
    for now in LOOKS:
        bench.settling.hold(true / count, now - before)
        decades = math.log10(1.0 + now / STRAP_START)
        bench.warmth = began + drift * now / LOOKS[-1]
        before = now
        slipped = bench.truth["relaxation"] * decades * per_load
        true = first if tight else _load_between(bench, stood_at - slipped, first, per_load)
        posts.append(bench.bare_length(true))
        lengths.append(_cold(bench, began).bare_length(first))
        own = random.normal(0.0, HEARD[1])
        heard = true * math.exp(alike + own) / LBF
        seen = posts[-1] * (1.0 - STEEL * (bench.warmth - began)) / INCH
        seen += random.normal(0.0, CALIPER)
        degrees = 20.0 + bench.warmth - began + random.normal(0.0, 0.2)
        half = 2.0 * math.hypot(*HEARD) * heard
        bodies.append(
            {
                "step": step,
                "load": f"{heard:.1f} lbf +- {half:.0f} lbf",
                "heard": True,
                "posts": f"{seen:.4f} in +- {2.0 * CALIPER:.3f} in",
                "temperature": f"{degrees:.1f} degC",
                "stood": f"{now:.0f} s",
            }
        )
    bench.settling.hold(true / count, 600.0)
    soon = _cold(bench, began).bare_length(first) - lengths[-1]
    return Stood(bodies, lengths[-1] - lengths[0], posts[0] - posts[-1], soon)


def _load_between(bench: Bench, posts: float, load: float, per_load: float) -> float:
    """True load of the skein on posts that stand so far apart [N, m]."""
    for _ in range(6):
        load *= 1.0 + (posts - bench.bare_length(load)) / per_load
    return load


def _cold(bench: Bench, warmth: float) -> Bench:
    """The same bench at another warmth, to be asked what is true."""
    other = copy.deepcopy(bench)
    other.warmth = warmth
    return other
