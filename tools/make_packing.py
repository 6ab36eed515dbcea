"""Make ``src/strandwright/geometry/packing_table.py``: equal circles packed in a circle.

For each n the centres of n unit circles are sought in the smallest enclosing circle:

1. seeded starts (random, concentric rings, hexagonal clusters, turned copies of a random sector)
   are relaxed by minimising overlap in a container a little too small, then improved by moving
   crowded circles to holes; whole hexagonal clusters are tried as they stand;
2. each candidate is polished by a sequence of linear programmes in a trust region, which ends
   at a rigid packing with its contacts closed to about 1e-12;
3. the best radius is kept. An earlier table, if there is one, is the first candidate, so that
   a further run with another seed can only improve it.

Needs SciPy. Usage::

    python tools/make_packing.py [--seed 1] [--seconds 6] [--only 27 45 ...]

``--seconds`` is the search time for each n from 20 on; smaller n take less.
"""

from __future__ import annotations

import argparse
import base64
import importlib.util
import time
import zlib
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog, minimize
from scipy.sparse import coo_matrix

Floats = NDArray[np.float64]
TARGET = Path(__file__).parents[1] / "src" / "strandwright" / "geometry" / "packing_table.py"
SCALE = 10**8
"""Coordinates are kept as whole multiples of 1/SCALE of the container's radius."""


def overlap(flat: Floats, n: int, container: float) -> tuple[float, Floats]:
    """Overlap energy of unit circles in a container, and its gradient."""
    z = flat.reshape(n, 2)
    diff = z[:, None, :] - z[None, :, :]
    dist = np.sqrt((diff**2).sum(-1)) + 1e-12
    np.fill_diagonal(dist, 9.0)
    deep = np.maximum(2.0 - dist, 0.0)
    radius = np.sqrt((z**2).sum(-1)) + 1e-12
    out = np.maximum(radius + 1.0 - container, 0.0)
    grad = -2.0 * ((deep / dist)[:, :, None] * diff).sum(1) + (2.0 * out / radius)[:, None] * z
    return float(0.5 * (deep**2).sum() + (out**2).sum()), grad.ravel()


def relax(z: Floats, container: float, most: int = 150) -> tuple[float, Floats]:
    """Reduce the overlap from a start."""
    n = len(z)
    found = minimize(
        overlap, z.ravel(), (n, container), "L-BFGS-B", jac=True,
        options={"maxiter": most, "ftol": 1e-10, "gtol": 1e-6},
    )
    return float(found.fun), found.x.reshape(n, 2)


def polish(z: Floats, rounds: int = 60) -> tuple[float, Floats]:
    """Close the contacts: maximise the smallest gap by linear programmes in a trust region.

    Works in a container of radius one for points; R/r follows from the largest spread t, where
    points lie within 1 and at least t apart: r = t/2 and R = 1 + t/2.
    """
    z = z / np.sqrt((z**2).sum(1)).max()
    n, trust, best = len(z), 0.1, spread(z)
    first, second = np.triu_indices(n, 1)
    for _ in range(rounds):
        step = programme(z, first, second, trust, best)
        trial = z + step
        trial = trial / max(1.0, float(np.sqrt((trial**2).sum(1)).max()))
        now = spread(trial)
        if now > best:
            gain, z, best = now - best, trial, now
            if gain < 1e-15:
                break
        else:
            trust *= 0.25
            if trust < 1e-14:
                break
    return 1.0 + 2.0 / best, z


def spread(z: Floats) -> float:
    """Smallest distance between two points."""
    first, second = np.triu_indices(len(z), 1)
    return float(np.sqrt(((z[first] - z[second]) ** 2).sum(1)).min())


def programme(z: Floats, first: Any, second: Any, trust: float, t: float) -> Floats:
    """Best step of the linearised problem, each coordinate moving by no more than the trust."""
    n = len(z)
    diff = z[first] - z[second]
    dist = np.sqrt((diff**2).sum(1))
    near = dist < t + 4.0 * trust + 1e-9
    i, j, u, gap = first[near], second[near], diff[near] / dist[near, None], dist[near]
    m = len(i)
    row = np.arange(m)
    # t - u . (s_i - s_j) <= gap, and z . s / |z| <= 1 - |z| for the rim.
    rim_r = np.sqrt((z**2).sum(1))
    rim = np.flatnonzero(rim_r > 1.0 - 3.0 * trust)
    rim_row = m + np.arange(len(rim))
    rows = np.concatenate([row, row, row, row, row, rim_row, rim_row])
    cols = np.concatenate([2 * i, 2 * i + 1, 2 * j, 2 * j + 1, np.full(m, 2 * n),
                           2 * rim, 2 * rim + 1])
    unit = z[rim] / rim_r[rim, None]
    data = np.concatenate([-u[:, 0], -u[:, 1], u[:, 0], u[:, 1], np.ones(m),
                           unit[:, 0], unit[:, 1]])
    matrix = coo_matrix((data, (rows, cols)), shape=(m + len(rim), 2 * n + 1)).tocsr()
    bound = np.concatenate([gap, 1.0 - rim_r[rim]])
    cost = np.zeros(2 * n + 1)
    cost[-1] = -1.0
    found = linprog(cost, matrix, bound, bounds=[(-trust, trust)] * (2 * n) + [(0.0, 4.0)],
                    method="highs-ds")
    return np.zeros_like(z) if found.x is None else found.x[:-1].reshape(n, 2)


def starts(n: int, container: float, rng: np.random.Generator) -> Floats:
    """One random start: uniform, symmetric, ringed, or a piece of the hexagonal lattice."""
    kind = rng.integers(4)
    room = container - 1.0
    if kind == 3:
        return symmetric(n, room, rng)
    if kind == 0:
        radius, angle = room * np.sqrt(rng.random(n)), 2 * np.pi * rng.random(n)
        return np.stack([radius * np.cos(angle), radius * np.sin(angle)], 1)
    if kind == 1:
        z, left, radius = [], n, room
        while left > 0:
            many = 1 if radius < 1.0 else min(left, int(np.pi / np.arcsin(1.0 / radius)))
            many = min(left, max(1, many - int(rng.integers(0, 2))))
            angle = 2 * np.pi * (np.arange(many) / many + rng.random())
            z.append(np.stack([radius * np.cos(angle), radius * np.sin(angle)], 1))
            left, radius = left - many, max(radius - rng.uniform(1.7, 2.0), 0.1)
        return np.concatenate(z) + 0.05 * rng.standard_normal((n, 2))
    lattice = hexagonal(n, rng.uniform(-1.0, 1.0, 2))
    return lattice * min(1.0, room / float(np.sqrt((lattice**2).sum(1)).max()))


def symmetric(n: int, room: float, rng: np.random.Generator) -> Floats:
    """A random sector turned on itself, what is left over near the middle."""
    fold = int(rng.choice([2, 3, 4, 5, 6, 6]))
    many, rest = divmod(n, fold)
    radius, angle = room * np.sqrt(rng.random(many)), 2 * np.pi * rng.random(many) / fold
    turns = 2 * np.pi * np.arange(fold) / fold
    angle = (angle[:, None] + turns).ravel()
    radius = np.repeat(radius, fold)
    z = np.stack([radius * np.cos(angle), radius * np.sin(angle)], 1)
    return np.concatenate([z, (rest > 1) * rng.standard_normal((rest, 2))])


def hexagonal(n: int, shift: Any) -> Floats:
    """The n points of a hexagonal lattice of spacing 2 nearest to a centre."""
    a, b = np.meshgrid(np.arange(-9, 10), np.arange(-9, 10))
    lattice = np.stack([2.0 * a + b, np.sqrt(3.0) * b], -1).reshape(-1, 2).astype(float)
    lattice -= np.asarray(shift)
    return lattice[np.argsort((lattice**2).sum(1), kind="stable")][:n]


def shaken(z: Floats, rng: np.random.Generator) -> Floats:
    """The best packing so far with a patch of it stirred."""
    z = z * (2.0 / spread(z))
    patch = np.argsort(((z - z[rng.integers(len(z))]) ** 2).sum(1))[: int(rng.integers(3, 16))]
    z[patch] += rng.uniform(0.3, 1.5) * rng.standard_normal((len(patch), 2))
    return z


def hop(z: Floats, container: float, rng: np.random.Generator) -> Floats:
    """Move one crowded or random circle to the roomiest of some random places."""
    diff = z[:, None, :] - z[None, :, :]
    dist = np.sqrt((diff**2).sum(-1))
    np.fill_diagonal(dist, 9.0)
    out = np.maximum(np.sqrt((z**2).sum(1)) + 1.0 - container, 0.0)
    pain = (np.maximum(2.0 - dist, 0.0) ** 2).sum(1) + out**2
    crowded = rng.random() < 0.6
    k = int(rng.choice(np.argsort(pain)[-4:])) if crowded else int(rng.integers(len(z)))
    radius = (container - 1.0) * np.sqrt(rng.random(60))
    angle = 2 * np.pi * rng.random(60)
    place = np.stack([radius * np.cos(angle), radius * np.sin(angle)], 1)
    others = np.delete(z, k, axis=0)
    room = np.sqrt(((place[:, None, :] - others[None, :, :]) ** 2).sum(-1)).min(1)
    moved = z.copy()
    moved[k] = place[int(rng.choice(np.argsort(room)[-3:]))]
    return moved


def search(n: int, seconds: float, rng: np.random.Generator, known: Floats | None) -> Floats:
    """Best packing found in the time: centres in units of the circles' radius."""
    if n == 1:
        return np.zeros((1, 2))
    best_ratio, best = np.inf, np.zeros((n, 2))
    if known is not None:
        best_ratio, best = polish(known)
    for shift in ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0 / np.sqrt(3.0))):
        ratio, trial = polish(hexagonal(n, shift))
        if ratio < best_ratio - 1e-12:
            best_ratio, best = ratio, trial
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        guess = best_ratio if np.isfinite(best_ratio) else 1.0 + np.sqrt(n / 0.78)
        container = guess * (1.0 - 10.0 ** rng.uniform(-4.0, -2.0))
        again = np.isfinite(best_ratio) and rng.random() < 0.4
        start = shaken(best, rng) if again else starts(n, container, rng)
        energy, z = relax(start, container)
        idle = 0
        while idle < 12 + n // 2 and time.monotonic() < end:
            e, trial = relax(hop(z, container, rng), container)
            idle = 0 if e < energy - 1e-12 else idle + 1
            if e < energy:
                energy, z = e, trial
        ratio, trial = polish(z, 60)
        if ratio < best_ratio - 1e-12:
            best_ratio, best = ratio, trial
    return best


def known_table() -> dict[int, Floats]:
    """Centres in the table that is there already, if any."""
    if not TARGET.exists():
        return {}
    spec = importlib.util.spec_from_file_location("packing_table", TARGET)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    raw = zlib.decompress(base64.b85decode("".join(module.PACKED.split())))
    values = np.frombuffer(raw, dtype="<i4").reshape(-1, 2) / module.SCALE
    ends = np.cumsum(np.arange(1, module.LAST + 1))
    return {n: values[end - n : end] for n, end in enumerate(ends, start=1)}


def in_order(z: Floats) -> Floats:
    """Centres from the middle outwards, the outermost turned on to the positive x axis."""
    radius = np.sqrt((z**2).sum(1))
    k = int(np.argmax(radius))
    turn = np.arctan2(z[k, 1], z[k, 0])
    c, s = np.cos(turn), np.sin(turn)
    z = z @ np.array([[c, -s], [s, c]])
    order = np.lexsort((np.round(np.arctan2(z[:, 1], z[:, 0]), 6), np.round(radius, 6)))
    return z[order]


def ratio_of(z: Floats) -> float:
    """Enclosing ratio R/r of centres lying in the unit circle and touching it."""
    return 1.0 if len(z) == 1 else 1.0 + 2.0 / spread(z / np.sqrt((z**2).sum(1)).max())


def write(table: dict[int, Floats], seed: int) -> None:
    """Write the table as a module."""
    whole = []
    for n in sorted(table):
        ratio = ratio_of(table[n])
        z = table[n] / max(float(np.sqrt((table[n] ** 2).sum(1)).max()), 1e-300)
        whole.append(np.round(in_order(z) * (1.0 - 1.0 / ratio) * SCALE))
    raw = np.concatenate(whole).astype("<i4").tobytes()
    text = base64.b85encode(zlib.compress(raw, 9)).decode()
    lines = "\n".join(text[k : k + 96] for k in range(0, len(text), 96))
    fresh = TARGET.with_suffix(".new")
    fresh.write_text(HEADER.format(seed=seed, last=max(table), scale=SCALE, lines=lines))
    fresh.replace(TARGET)


HEADER = '''\
"""The packing table: centres of n equal circles in a circle, n = 1 to {last}. Generated.

Made by ``tools/make_packing.py`` (last seed {seed}); do not edit, run the script. ``PACKED`` is
base 85 of zlib of little-endian 32-bit whole numbers: x, y of every centre of n = 1, then of
n = 2, and so on, in units of 1/SCALE of the container's radius.
"""

from __future__ import annotations

LAST = {last}
SCALE = {scale}
PACKED = """
{lines}
"""
'''


def main() -> None:
    """Search each n in turn and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=6.0)
    parser.add_argument("--only", type=int, nargs="*", default=list(range(1, 62)))
    asked = parser.parse_args()
    table = known_table()
    for n in asked.only:
        rng = np.random.default_rng((asked.seed, n))
        seconds = asked.seconds * min(1.0, (n / 20.0) ** 2) + 0.1
        table[n] = search(n, seconds, rng, table.get(n))
        print(n, f"{ratio_of(table[n]):.8f}", flush=True)
    write(table, asked.seed)


if __name__ == "__main__":
    main()
