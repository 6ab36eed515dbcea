"""The jobs that are built at the simulated bench: strings and cables of many makes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from simulated_bench.bench import written
from simulated_bench.world import BENCHES, BenchKind
from strandwright.workshop.job import Job, job_from_table

ORDERS = (
    "serve, then twist",
    "twist, stretch, then serve",
    "stretch, twist, stretch, then serve",
)
#: Strand, kind of line, bow, strand counts, turns over length; how often of ten
MAKES = (
    ("hmpe-lcp", "string", "two-cam", (20, 22, 24, 26, 28), (0.4, 0.7), 3),
    ("hmpe-lcp", "cable", "one-cam", (20, 22, 24, 26), (0.5, 0.75), 3),
    ("hmpe-lcp-thin", "string", "one-cam", (28, 30, 32), (0.4, 0.7), 1),
    ("hmpe", "string", "recurve", (16, 18, 20), (0.25, 0.5), 2),
    ("polyester", "string", "recurve", (12, 14, 16), (0.25, 0.5), 1),
)
#: Of ten benches so many are good, usual, rough
MIX = (4, 4, 2)


@dataclass(frozen=True)
class Case:
    """One build: the job, the kind of bench, and the seed of its truth.

    Attributes
    ----------
    seed : int
        The seed.
    job : Job
        The job as it stands before anything is done.
    bench : BenchKind
        The kind of bench.
    length : float
        Length asked for [in]
    """

    seed: int
    job: Job
    bench: BenchKind
    length: float


def make_case(seed: int) -> Case:
    """Give the case of a seed: six of ten lines are 50 to 65 in long, the others to 100 in."""
    random = np.random.default_rng([3, seed])
    strand, kind, bow, counts, twist, _ = MAKES[
        random.choice(len(MAKES), p=np.array([m[-1] for m in MAKES]) / 10.0)
    ]
    bench = BENCHES[random.choice(3, p=np.array(MIX) / 10.0)]
    short = random.random() < 0.6
    length = round(float(random.uniform(50, 65) if short else random.uniform(65, 100)) * 16) / 16
    if bow == "recurve":
        length = 50.0 + (length - 50.0) * 0.4
        length = round(length * 16) / 16
    table: dict[str, Any] = {
        "id": f"SIM-{seed}",
        "name": "simulated line",
        "paper": {"fraction": bench.reads_to},
        "bow": {"kind": bow, "draw_weight": "50 lbf"},
        "line": _line(kind, length, random),
        "makeup": {
            "strand": strand,
            "strands": int(random.choice(counts)),
            "twist": f"{random.uniform(*twist):.2f} per in",
        },
        "bench": bench_table(bench),
        "route": {"order": ORDERS[random.integers(3)]},
    }
    return Case(seed, job_from_table(table), bench, length)


def _line(kind: str, length: float, random: np.random.Generator) -> dict[str, Any]:
    """Ends served from the throats in, and one or two servings between."""
    end = float(random.uniform(6, 15))
    spans = [("near end", "end", 2.5, end), ("far end", "end", length - end, length - 2.5)]
    middle = 0.5 * length + float(random.uniform(-3, 3))
    half = float(random.uniform(2, 4))
    spans.insert(1, ("middle", "centre" if kind == "string" else "free", middle - half,
                     middle + half))  # fmt: skip
    sizes = [written(Fraction(int(random.integers(12, 20)), 16)) for _ in range(2)]
    return {
        "name": kind,
        "kind": kind,
        "finished": f"{length:.4f} in",
        "tolerance": "1/16 in",
        "zero_end": {"name": "near end", "size": sizes[0],
                     "thread": "braid-018"},
        "far_end": {"name": "far end", "size": sizes[1],
                    "thread": "braid-018"},
        "servings": [
            {"name": n, "use": u, "thread": "braid-018", "start": f"{a:.3f} in",
             "stop": f"{b:.3f} in"}
            for n, u, a, b in spans
        ],
    }  # fmt: skip


def bench_table(kind: BenchKind) -> dict[str, Any]:
    """What a shop with such a bench says of it."""
    said: dict[str, Any] = {
        "name": kind.name,
        "zero_post": "1/2 in",
        "loop_pin": "1/4 in",
        "longest": "130 in",
        "gauge": kind.gauge,
        "rating": "600 lbf",
        "tape": kind.tape,
        "tape_reads": f"1/{kind.reads_to} in",
        "scale_reads": "1 gr",
    }
    if kind.post_stated:
        newton = kind.post / 1000.0
        said["post_stiffness"] = f"{newton:.0f} N/mm +- {2 * kind.post_spread * newton:.0f}"
    if kind.drag_stated:
        said["drag"] = kind.drag_stated
    return said
