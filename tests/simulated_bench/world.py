"""What is true of one build and nobody at the bench knows: drawn once, from the table below.

The spreads follow what practice says of each quantity; the shapes of the distributions and the
laws they feed are not those of the program.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from simulated_bench.fibres import FIBRES, Fibre

INCH = 0.0254
LBF = 4.4482216152605
ROOT3 = math.sqrt(3.0)

Random = np.random.Generator


@dataclass(frozen=True)
class BenchKind:
    """A class of benches: what such a shop has, and what it says of it.

    Attributes
    ----------
    name : str
        What we call it.
    gauge : str
        What the load is read with.
    gauge_spread : float
        Relative spread of such gauges [-]
    pull_noise : float
        Relative scatter of the load from one pull to the next [-]
    post : float
        Stiffness of one post, middle [N/m]
    post_spread : float
        Relative spread of it [-]
    post_stated : bool
        Whether the shop has measured its posts.
    play : float
        Largest play of the two posts before they stand firm [m]
    drag_spread : float
        Relative spread of the winding drag [-]
    drag_stated : str
        What the job says of the drag; empty where it says nothing.
    tape : str
        What the tape is made of.
    tape_spread : float
        Relative spread of such tapes' scale [-]
    reads_to : int
        Parts of an inch the tape is read to [-]
    hand : float
        Scatter of a reading before it is rounded [m]
    miscount : float
        Chance of a miscounted round, and of a miscounted half turn, in a build [-]
    """

    name: str
    gauge: str
    gauge_spread: float
    pull_noise: float
    post: float
    post_spread: float
    post_stated: bool
    play: float
    drag_spread: float
    drag_stated: str
    tape: str
    tape_spread: float
    reads_to: int
    hand: float
    miscount: float


BENCHES = (
    BenchKind("good", "load cell", 0.02, 0.005, 150e3, 0.13, True, 0.3e-3, 0.1, "5 lbf +- 1",
              "steel", 2e-4, 32, 0.005 * INCH, 0.01),
    BenchKind("usual", "spring scale", 0.05, 0.015, 60e3, 0.5, False, 0.8e-3, 0.25, "5 lbf",
              "steel", 2e-4, 32, 0.007 * INCH, 0.02),
    BenchKind("rough", "none", 0.35, 0.08, 60e3, 0.5, False, 1.5e-3, 0.25, "",
              "steel", 2e-4, 16, 0.010 * INCH, 0.04),
)  # fmt: skip


@dataclass(frozen=True)
class Drawn:
    """One quantity of the world: how it is drawn and why so.

    Attributes
    ----------
    name : str
        Its name.
    law : str
        Distribution, in words.
    why : str
        What it stands for and where its size comes from.
    draw : callable
        Draws it from a generator, a fibre and a kind of bench.
    """

    name: str
    law: str
    why: str
    draw: Callable[[Random, Fibre, BenchKind], float]


def _even(spread: float, random: Random) -> float:
    """Factor whose logarithm is even within root 3 spreads: that spread, no tails."""
    return math.exp(spread * random.uniform(-ROOT3, ROOT3))


def _gamma(mean: float, spread: float, random: Random) -> float:
    """Skewed positive value of a mean and a relative spread."""
    return float(random.gamma(1.0 / spread**2, mean * spread**2))


DRAWN: tuple[Drawn, ...] = (
    Drawn("stiffness", "even in the logarithm, spread as sold", "EA of the spool, secant to break",
          lambda r, f, b: f.stiffness * _even(f.stiffness_spread, r)),
    Drawn("bend", "normal, sd 0.12, about the fibre's own", "curve of load against strain",
          lambda r, f, b: float(np.clip(r.normal(f.bend, 0.12), -0.3, 0.6))),
    Drawn("strand_spread", "even, 0.5 to 2.5 %", "stiffness from strand to strand",
          lambda r, f, b: r.uniform(0.005, 0.025)),
    Drawn("tex", "normal, sd 6 %, to 2 sd", "mass over length of the spool",
          lambda r, f, b: f.tex * (1.0 + 0.06 * float(np.clip(r.normal(), -2, 2)))),
    Drawn("packing", "triangular, 0.58 to 0.86", "fibre in the bare bundle at the measuring load",
          lambda r, f, b: r.triangular(0.58, 0.72, 0.86)),
    Drawn("tightening", "even, 0 to 0.06", "gain of packing for a decade of load",
          lambda r, f, b: r.uniform(0.0, 0.06)),
    Drawn("served_packing", "triangular, 0.70 to 0.91", "fibre inside a serving",
          lambda r, f, b: r.triangular(0.70, 0.80, 0.91)),
    Drawn("second_moment", "even, 0.44 to 0.52",
          "mean square of the strands' radii over that of the bundle; 0.5 is a uniform disc",
          lambda r, f, b: r.uniform(0.44, 0.52)),
    Drawn("migration", "beta(2, 1.5)", "share of a strand's way spent at radii other than its own",
          lambda r, f, b: float(r.beta(2.0, 1.5))),
    Drawn("bedding", "gamma, spread 50 %", "bedding-in at 12.5 lbf on a strand",
          lambda r, f, b: _gamma(f.bedding, 0.5, r)),
    Drawn("bedding_load", "even in the logarithm about 3 lbf, spread 40 %",
          "load on a strand by which half of it has come, T/(T + c)",
          lambda r, f, b: 3.0 * LBF * _even(0.4, r)),
    Drawn("reopening", "gamma about 0.35, spread 50 %",
          "share of the bedding-in that twist opens again",
          lambda r, f, b: _gamma(0.35, 0.5, r)),
    Drawn("creep", "gamma, spread 70 %", "creep for a decade of time, over load share",
          lambda r, f, b: _gamma(f.creep, 0.7, r)),
    Drawn("delayed", "gamma about 0.10, spread 50 %",
          "delayed elastic compliance over the prompt one, in three Kelvin elements",
          lambda r, f, b: _gamma(0.1, 0.5, r)),
    Drawn("expansion", "normal, sd 4e-6 /K", "thermal expansion of the fibre",
          lambda r, f, b: r.normal(f.expansion, 4e-6)),
    Drawn("gauge", "logistic in the logarithm, spread of such gauges",
          "true load over the load on the gauge",
          lambda r, f, b: math.exp(float(np.clip(
              r.logistic(0.0, b.gauge_spread * ROOT3 / math.pi),
              -2.5 * b.gauge_spread, 2.5 * b.gauge_spread)))),
    Drawn("relaxation", "even, 0.5 to 3 %", "load lost by the strap for a decade of time",
          lambda r, f, b: r.uniform(0.005, 0.03)),
    Drawn("post", "even in the logarithm, spread as stated or as softwood",
          "stiffness of one post", lambda r, f, b: b.post * _even(b.post_spread, r)),
    Drawn("play", "even, 0 to the bench's most", "give of both posts before they stand firm",
          lambda r, f, b: r.uniform(0.0, b.play)),
    Drawn("tape_height", "normal, sd 1 %",
          "part of the posts' lean that the tape sees and the line does not",
          lambda r, f, b: r.normal(0.0, 0.01)),
    Drawn("tape", "even, spread of such tapes", "scale of the tape",
          lambda r, f, b: b.tape_spread * r.uniform(-ROOT3, ROOT3)),
    Drawn("drag", "even in the logarithm about 5 lbf, spread as stated",
          "drag on the strand, middle of the winding",
          lambda r, f, b: 5.0 * LBF * _even(b.drag_spread, r)),
    Drawn("drag_drift", "normal, sd 10 %", "drag at the end of the winding less at its start",
          lambda r, f, b: r.normal(0.0, 0.1)),
    Drawn("layers", "even, 1.2 to 2.8", "layers of strand on the posts",
          lambda r, f, b: r.uniform(1.2, 2.8)),
    Drawn("evened", "beta(8, 2)", "share of the strands' inequality that evening takes out",
          lambda r, f, b: float(r.beta(8.0, 2.0))),
    Drawn("loop_slip", "exponential, 0.2 mm", "what each closed loop gives at its first pull",
          lambda r, f, b: float(r.exponential(0.2e-3))),
    Drawn("zero_loop", "normal, sd 1/32 in", "error of the zero loop's perimeter",
          lambda r, f, b: r.normal(0.0, INCH / 32.0)),
    Drawn("far_loop", "normal, sd 1/32 in", "error of the far loop's perimeter",
          lambda r, f, b: r.normal(0.0, INCH / 32.0)),
    Drawn("leg_flat", "even, 0.75 to 1", "thickness of a loop's leg on the pin over its round one",
          lambda r, f, b: r.uniform(0.75, 1.0)),
    Drawn("thread", "even in the logarithm about 1530 N, spread 50 %", "EA of the serving thread",
          lambda r, f, b: 1530.0 * _even(0.5, r)),
    Drawn("thread_flat", "normal 0.80, sd 0.10", "laid thickness of the thread over its nominal",
          lambda r, f, b: float(np.clip(r.normal(0.8, 0.1), 0.5, 1.0))),
    Drawn("turn_flow", "even, 0 to 1",
          "share of the turns under one torque that find their way through a serving",
          lambda r, f, b: r.uniform(0.0, 1.0)),
    Drawn("warming", "normal, sd 1.5 K for each long wait", "drift of the shop's temperature",
          lambda r, f, b: 1.5),
    Drawn("miscounted_round", "chance by the bench, one round too few or too many",
          "a strand count that is out by two",
          lambda r, f, b: float(r.choice((-1, 1))) if r.random() < b.miscount else 0.0),
    Drawn("miscounted_half", "chance by the bench, half a turn too few or too many",
          "turns counted while twisting to the full count",
          lambda r, f, b: float(r.choice((-0.5, 0.5))) if r.random() < b.miscount else 0.0),
)  # fmt: skip


@dataclass(frozen=True)
class Truth:
    """The truth of one build.

    Attributes
    ----------
    seed : int
        What it was drawn with.
    fibre : Fibre
        The fibre.
    bench : BenchKind
        The kind of bench.
    values : dict
        By the names of :data:`DRAWN`.
    """

    seed: int
    fibre: Fibre
    bench: BenchKind
    values: dict[str, float]

    def __getitem__(self, name: str) -> float:
        """Give one of the drawn values."""
        return self.values[name]


def draw_truth(seed: int, strand: str, bench: BenchKind) -> Truth:
    """Draw the truth of one build.

    Parameters
    ----------
    seed : int
        Seed; the same gives the same.
    strand : str
        Name of the strand.
    bench : BenchKind
        Kind of bench.

    Returns
    -------
    Truth
        The truth.
    """
    random = np.random.default_rng([7, seed])
    fibre = FIBRES[strand]
    values = {d.name: float(d.draw(random, fibre, bench)) for d in DRAWN}
    return Truth(seed, fibre, bench, values)
