"""The simulated bench: what a technician does at it, and what they then read.

Lengths in and out of the acts are as the tape and the gauge show them; what is true stays inside,
for the judge alone. SI throughout; readings come as text.
"""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from simulated_bench.loops import throat
from simulated_bench.settling import Settling
from simulated_bench.strands import Array, places, stretched
from simulated_bench.winding import give, offsets, paths, strand_diameter, wind_strands
from simulated_bench.world import INCH, LBF, Truth

MEASURING_PIN = 0.25 * INCH
#: Thermal expansion of the tape's steel [1/K]
STEEL = 1.15e-5
#: Halves of a round bundle lie this share of its diameter off the axis
HALF_CENTRE = 2.0 / (3.0 * math.pi)


@dataclass(frozen=True)
class Reading:
    """A reading of the tape.

    Attributes
    ----------
    text : str
        As the technician writes it down.
    true : float
        The true length at that moment; for the judge only [m]
    """

    text: str
    true: float


class Bench:
    """One build at one bench. Acts are done in order; the clock runs by itself."""

    def __init__(self, truth: Truth, post: float, loop_pin: float, skein: int = 0) -> None:
        self.truth, self.post, self.loop_pin = truth, post, loop_pin
        self.random = np.random.default_rng([11 + skein, truth.seed])
        self.warmth = 0.0
        self.settling = Settling(truth)
        self.centres = math.nan
        self.natural: Array = np.zeros(0)
        self.stiffness: Array = np.zeros(0)
        self.place: Array = np.zeros(0)
        self.loops: list[float] = []
        self.leg = 0.0
        self.turns = self.counted = 0.0
        self.turned_load = 0.0
        self.served: list[tuple[float, float]] = []
        self.served_untwisted = False
        self.rates = np.zeros(2)  # turns over natural length [turn/m], bare and served

    # -- acts --------------------------------------------------------------------------------

    def set_posts(self, outside: float) -> None:
        """Set the empty posts by the tape, outside to outside [m]."""
        wrong = self.random.normal(0.0, self.truth.bench.hand)
        self.centres = (outside + wrong) / (1.0 + self.truth["tape"]) - self.post

    def wind(self, rounds: int) -> None:
        """Wind so many rounds; one too few or too many where the count went wrong."""
        count = 2 * (rounds + int(self.truth["miscounted_round"]))
        spread = self.truth["strand_spread"]
        self.stiffness = self.truth["stiffness"] * np.exp(self.random.normal(0.0, spread, count))
        self.natural = wind_strands(
            self.truth, self.random, self.centres, self.post, self.stiffness
        )
        self.place = places(self.truth, self.random, count)

    def spool_loss(self) -> float:
        """What the spool has lost, as a scale reads it, without tails [kg]."""
        mass = self.truth["tex"] * self.natural.sum()
        return round(mass / 0.0648e-3) * 0.0648e-3

    def equalise(self, load: float) -> None:
        """Even the strands out at a load on the gauge [N]."""
        self._even(self.truth["evened"])
        for _ in range(2):
            self.settling.hold(self._pull(load) / len(self.natural), 60.0)
        self.settling.hold(0.0, 60.0)

    def stretch(self, load: float, dwell: float) -> None:
        """Hold a load on the gauge for a time [N, s], pulling up again as the strap gives."""
        true, count = self._pull(load), len(self.natural)
        self.settling.hold(true / count, 20.0)
        fallen = true * (1.0 - 1.5 * self.truth["relaxation"])
        self.settling.hold(fallen / count, max(dwell - 20.0, 0.0))
        self._turned(true)

    def rest(self, seconds: float) -> None:
        """Let the line lie slack for a time [s]."""
        self.settling.hold(0.0, seconds)
        self.warmth += self.random.normal(0.0, self.truth["warming"])

    def close_loops(self, zero_size: float, far_size: float, served: bool) -> None:
        """Close both loops to inside lengths laid flat [m]."""
        core = math.sqrt(0.5) * self._diameter(served=served, load=100.0 * LBF)
        laid = 2.0 * 0.018 * INCH * self.truth["thread_flat"] if served else 0.0
        self.leg = core + laid
        sizes, wrong = (zero_size, far_size), (self.truth["zero_loop"], self.truth["far_loop"])
        self.loops = [
            2.0 * size + 0.5 * math.pi * self.leg + error + self.truth["loop_slip"]
            for size, error in zip(sizes, wrong, strict=True)
        ]
        self._even(0.5)

    def turn(self, turns: float) -> None:
        """Put in turns, or take them out where negative; the count is as the technician has it."""
        real = turns
        if self.counted == 0.0 or abs(turns) > 5.0:
            share = 0.5 if self.counted == 0.0 else 1.0
            if self.random.random() < share:
                real += self.truth["miscounted_half"]
        self.counted += turns
        self.turns += real
        self.turned_load = 0.0
        self.rates = self.rates + self._shared_out(real, self._ease() if self.served else 1.0)
        self.settling.twist(self.turns / self._body())

    def serve(self, spans: list[tuple[float, float]], load: float) -> None:
        """Serve from mark to mark, as read by the tape from the zero pin at a load [m, N]."""
        true = self._pull(load)
        self.settling.hold(true / len(self.natural), 900.0)
        self._turned(true)
        zero, _far, scaled = self._closed(true, self.loop_pin, parts=True)
        first, last = zero, zero + scaled
        laid: list[tuple[float, float]] = []
        for start, stop in spans:
            edges = [
                (x + self.random.normal(0.0, INCH / 64.0)) / (1.0 + self.truth["tape"])
                for x in (start, stop)
            ]
            a, b = ((min(max(e, first), last) - first) / (last - first) for e in edges)
            laid.append((a, b))
        self.served, self.served_untwisted = laid, self.turns == 0.0

    # -- readings ----------------------------------------------------------------------------

    def read_bare(self, load: float) -> Reading:
        """Read the bare skein on the posts at a load on the gauge [N]."""
        true = self._loaded(load)
        length = self._bare(true)
        return self._read(length, true)

    def read(self, load: float, pin: float | None = None) -> Reading:
        """Read the looped line over pins at a load on the gauge [N, m]."""
        true = self._loaded(load)
        zero, far, body = self._closed(true, self.loop_pin if pin is None else pin, parts=True)
        return self._read(zero + far + body, true)

    def read_at_a_true_load(self, true: float) -> Reading:
        """Read at a load that no gauge shows, over the bench's pins [N]."""
        self.settling.hold(true / len(self.natural), 30.0)
        self._turned(true)
        zero, far, body = self._closed(true, self.loop_pin, parts=True)
        return self._read(zero + far + body, true)

    def true_length(self) -> float:
        """Length by the standard: rested, 100 lbf true, 1/4 in pins, 20 s."""
        other = copy.deepcopy(self)
        other.settling.relax()
        other.warmth = 0.0
        other.settling.hold(100.0 * LBF / len(self.natural), 20.0)
        return sum(other._closed(100.0 * LBF, MEASURING_PIN, parts=True))

    def bare_length(self, load: float) -> float:
        """Give the true length of the untwisted skein on its posts under a true load [m, N]."""
        return self._bare(load)

    # -- what is true ------------------------------------------------------------------------

    def _pull(self, load: float) -> float:
        """True load of one pull to a load on the gauge."""
        noise = self.random.normal(0.0, self.truth.bench.pull_noise)
        return load * self.truth["gauge"] * math.exp(noise)

    def _turned(self, true: float) -> None:
        """A load has come on: higher than any since the last turns, it moves turns about."""
        if true <= self.turned_load:
            return
        self.turned_load = true
        if self.served_untwisted and self.turns:
            settled = self._shared_out(self.turns, self._ease())
            flow = self.truth["turn_flow"]
            self.rates = (1.0 - flow) * self.rates + flow * settled

    def _shared_out(self, turns: float, ease: float) -> Array:
        """Turns over natural length, bare and served, of turns under one torque [turn/m]."""
        bare, served = self._shares()
        return turns / (self._body() * (bare + served * ease)) * np.array([1.0, ease])

    def _loaded(self, load: float) -> float:
        """True load when the tape is read: pulled up, 20 s, pulled up again, fallen a little."""
        count = len(self.natural)
        first = self._pull(load)
        self.settling.hold(first / count, 20.0)
        true = self._pull(load) if self.truth.bench.gauge != "none" else first
        self._turned(max(first, true))
        fallen = self.truth["relaxation"] * math.log10(1.0 + self.random.uniform(5.0, 40.0) / 5.0)
        true *= 1.0 - fallen
        self.settling.hold(true / count, 10.0)
        return true

    def _read(self, length: float, load: float) -> Reading:
        lean = self.truth["tape_height"] * give(self.truth, load)
        seen = (length + lean) * (1.0 + self.truth["tape"]) * (1.0 - STEEL * self.warmth)
        seen += self.random.normal(0.0, self.truth.bench.hand)
        parts = self.truth.bench.reads_to
        return Reading(written(Fraction(round(seen / INCH * parts), parts)), length)

    def _even(self, share: float) -> None:
        """Bring the strands nearer to the lengths at which all would pull alike."""
        way = paths(self.centres, self.post, offsets(self.truth, len(self.natural)))
        if self.loops:
            way = np.full(len(self.natural), self.natural.mean())
        goal = way * (self.natural.sum() / way.sum())
        self.natural = self.natural + share * (goal - self.natural)

    def _grown(self) -> float:
        return 1.0 + self.settling.strain + self.truth["expansion"] * self.warmth

    def _diameter(self, served: bool, load: float) -> float:
        """Diameter of the bundle by its fibre and how densely it lies [m]."""
        packing = self.truth["served_packing"]
        if not served:
            decades = math.log10((load + 50.0) / (100.0 * LBF + 50.0))
            packing = self.truth["packing"] * (1.0 + self.truth["tightening"] * decades)
        packing = max(packing, self.truth["packing"]) if served else packing
        single = strand_diameter(self.truth) * math.sqrt(self.truth["packing"] / packing)
        return single * math.sqrt(len(self.natural))

    def _body(self) -> float:
        """Mean natural length of the strands between the throats [m]."""
        strain = 100.0 * LBF / self.stiffness.sum()
        return float(self.natural.mean() * self._grown() - 0.5 * sum(self.loops) / (1.0 + strain))

    def _shares(self) -> tuple[float, float]:
        served = sum(b - a for a, b in self.served)
        return 1.0 - served, served

    def _ease(self) -> float:
        """Turns a served length takes over those of a bare one under the same torque."""
        load = max(self.turned_load, 30.0 * LBF)
        bare, radius = (0.5 * self._diameter(served=s, load=load) for s in (False, True))
        pitch = 0.018 * INCH / self.truth["thread_flat"]
        over = radius + 0.5 * 0.018 * INCH * self.truth["thread_flat"]
        thread = self.truth["thread"] * pitch * over / (2.0 * math.pi)
        return 0.5 * load * bare**2 / (0.5 * load * radius**2 + thread)

    def _closed(self, load: float, pin: float, parts: bool = False) -> tuple[float, float, float]:
        """Zero throat, far throat and body of the looped line under a true load [m]."""
        elastic = load / self.stiffness.sum()
        at_close = 100.0 * LBF / self.stiffness.sum()
        gap = HALF_CENTRE * self._diameter(served=False, load=100.0 * LBF)
        zero, far = (
            throat(p * (1.0 + elastic) / (1.0 + at_close), pin, self.leg * self.truth["leg_flat"],
                   gap)
            for p in self.loops
        )  # fmt: skip
        body = self._body()
        own = self.natural * self._grown() - 0.5 * sum(self.loops) / (1.0 + at_close)
        radii = np.array([0.5 * self._diameter(served=s, load=load) for s in (False, True)])
        length = stretched(
            self.truth, load, self.rates, radii, self.place, own / body, self.stiffness
        )
        bare, served = self._shares()
        return zero, far, body * float(bare * length[0] + served * length[1])

    def _bare(self, load: float) -> float:
        """Outside to outside of the posts with the untwisted skein on them under a true load."""
        offset = offsets(self.truth, len(self.natural))
        natural = self.natural * self._grown()
        low, high = 0.9 * self.centres, 1.1 * self.centres
        for _ in range(50):
            middle = 0.5 * (low + high)
            strain = paths(middle, self.post, offset) / natural - 1.0
            bend = 1.0 + self.truth["bend"] * (1.0 - strain / self.truth.fibre.break_strain)
            pull = (self.stiffness * np.maximum(strain, 0.0) * bend).sum()
            low, high = (middle, high) if pull < load else (low, middle)
        return 0.5 * (low + high) + self.post


def written(inches: Fraction) -> str:
    """Write inches as a technician does: ``57 11/16 in``."""
    whole, part = divmod(inches, 1)
    if not part:
        return f"{whole} in"
    top = f"{part.numerator}/{part.denominator} in"
    return f"{whole} {top}" if whole else top
