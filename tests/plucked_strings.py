"""Plucked strings in time: physics of its own to hold the hearing of plucks to.

A string of sections of unlike mass, stiff or not, is cut into elements here, apart from the
program's own modes. Its modes are then carried through time together under a tension that rises
with the swing (Kirchhoff and Carrier): each turns and dies away exactly over a step, and the
stretched string kicks them all between steps. A microphone that hears little below some frequency
picks up one place of it, and a shop is about it: hiss, rumble, clatter, hum. All is seeded.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from strandwright.vibration.series import Series
from strandwright.vibration.sound import Sound

Floats = np.ndarray
ELEMENTS = 160
MODES = 18
STEPS = 16000
QUIET = 0.12


@dataclass(frozen=True)
class Pluck:
    """One string, one pluck, one shop."""

    length: float = 1.2
    masses: tuple[float, ...] = (6.5e-3, 4.2e-3, 7.5e-3, 4.2e-3, 6.5e-3)
    parts: tuple[float, ...] = (0.1, 0.35, 0.12, 0.33, 0.1)
    weight: float = 0.0
    tension: float = 450.0
    bending: float = 0.0
    stretch: float = 3e5
    swing: float = 1e-3
    pick: float = 0.23
    round_: float = 0.01
    heard: float = 0.31
    decay: float = 1.5
    decay_rise: float = 0.4
    rate: float = 12000.0
    roll_off: float = 60.0
    hiss: float = 1e-3
    rumble: float = 1e-3
    clatter: float = 0.0
    hum: float = 0.0
    mains: float = 50.0
    seed: int = 0


@dataclass(frozen=True)
class Modes:
    """Frequencies [rad/s], shapes at pick and ear, and how tension moves them."""

    omega: Floats
    start: Floats
    ear: Floats
    taut: Floats


def modes_of(pluck: Pluck) -> Modes:
    """Modes of the string, by elements; the largest deflection where it is picked is the swing."""
    h = pluck.length / ELEMENTS
    edges = np.cumsum(np.array(pluck.parts) / np.sum(pluck.parts))
    middle = (np.arange(ELEMENTS) + 0.5) / ELEMENTS
    mass = np.array(pluck.masses)[np.minimum(np.searchsorted(edges, middle), len(edges) - 1)]
    node = 0.5 * h * (mass[1:] + mass[:-1])
    at = np.arange(1, ELEMENTS) / ELEMENTS
    node[np.argmin(np.abs(at - 0.55))] += pluck.weight
    size = ELEMENTS - 1
    second = 2.0 * np.eye(size) - np.eye(size, k=1) - np.eye(size, k=-1)
    taut = pluck.tension * second / h
    whole = taut + pluck.bending * second @ second / h**3
    root = 1.0 / np.sqrt(node)
    square, vectors = np.linalg.eigh(root[:, None] * whole * root)
    shapes = root[:, None] * vectors[:, :MODES]
    triangle = np.minimum(at / pluck.pick, (1.0 - at) / (1.0 - pluck.pick))
    start = shapes.T @ (node * triangle) * pluck.swing
    omega = np.sqrt(square[:MODES])
    # A finger is round: what is shorter than it is not set swinging.
    start = start * np.exp(-0.5 * (np.pi * np.arange(1, MODES + 1) * pluck.round_) ** 2)
    ear = shapes[np.argmin(np.abs(at - pluck.heard))]
    return Modes(omega, start, ear, shapes.T @ taut @ shapes)


def ringing(plucks: list[Pluck]) -> tuple[Floats, Floats, Floats]:
    """Velocity at the ear for every pluck (plucks, steps), frequencies and decays of the modes."""
    every = [modes_of(pluck) for pluck in plucks]
    omega = np.array([m.omega for m in every])
    start, ear = np.array([m.start for m in every]), np.array([m.ear for m in every])
    taut = np.array([m.taut for m in every])
    decay = np.array([p.decay for p in plucks])[:, None]
    rise = np.array([p.decay_rise for p in plucks])[:, None]
    decay = decay * (1.0 + rise * 0.02 * (np.arange(MODES) ** 2))
    step = 1.0 / np.array([p.rate for p in plucks])[:, None]
    turning = np.sqrt(omega**2 - decay**2)
    # What would lie above half the rate is not there.
    start = np.where(turning * step < 0.9 * np.pi, start, 0.0)
    by = np.array([p.stretch / p.length / 2.0 / p.tension**2 for p in plucks])[:, None]
    c, s = np.cos(turning * step), np.sin(turning * step)
    gone = np.exp(-decay * step)
    qq, qv = gone * (c + decay / turning * s), gone * s / turning
    vq, vv = -gone * omega**2 / turning * s, gone * (c - decay / turning * s)
    q, v = start.copy(), np.zeros_like(start)
    bends = bool(np.any(np.array([p.bending for p in plucks]) > 0.0))
    straight = np.einsum("pii->pi", taut).copy()
    out = np.empty((STEPS, len(plucks)))
    for k in range(STEPS):
        pull = (taut @ q[..., None])[..., 0] if bends else straight * q
        share = by * np.sum(q * pull, axis=1, keepdims=True)
        v = v - step * share * pull
        q, v = qq * q + qv * v, vq * q + vv * v
        out[k] = np.sum(v * ear, axis=1)
    return out.T, turning / (2.0 * np.pi), decay


def in_the_shop(pluck: Pluck, swing: Floats) -> Sound:
    """What a microphone makes of it: roll-off, a quiet moment before, and the shop's noises."""
    rng = np.random.default_rng(pluck.seed)
    before = int(QUIET * pluck.rate)
    x = np.concatenate([np.zeros(before), swing])
    count = len(x)
    frequency = np.fft.rfftfreq(2 * count, 1.0 / pluck.rate)
    high = 1j * frequency / pluck.roll_off
    passed = high**2 / (1.0 + 1.4 * high + high**2)
    x = np.fft.irfft(np.fft.rfft(x, 2 * count) * passed)[:count]
    loud = np.sqrt(np.mean(x[before : before + int(0.3 * pluck.rate)] ** 2))
    x = x / loud
    t = np.arange(count) / pluck.rate
    x += pluck.hiss * rng.standard_normal(count)
    x += pluck.rumble * pink(count, rng)
    x += pluck.clatter * bangs(t, rng)
    for k in range(1, 6):
        size = pluck.hum * np.sqrt(2.0) / k * rng.uniform(0.3, 1.0)
        x += size * np.cos(2.0 * np.pi * pluck.mains * k * t + rng.uniform(0.0, 6.28))
    return Sound(0.15 * x, pluck.rate)


def pink(count: int, rng: np.random.Generator) -> Floats:
    """Noise of as much power in each octave, mean square 1."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), 5.0))
    x = np.fft.irfft(spectrum, count)
    return x / np.std(x)


def bangs(t: Floats, rng: np.random.Generator) -> Floats:
    """A shop's clatter: some short bursts a second, root mean square 1 within each."""
    x = np.zeros_like(t)
    for start in rng.uniform(0.0, t[-1], int(4 * t[-1])):
        since = np.maximum(t - start, 0.0)
        x += (t > start) * np.exp(-since / rng.uniform(0.005, 0.03)) * rng.standard_normal(len(t))
    return x


def believed(frequency: Floats, pluck: Pluck, spread: float = 0.05) -> Series:
    """The series a plan would promise: shaped wrongly by what it is unsure of, and a little off."""
    rng = np.random.default_rng(pluck.seed + 1000)
    n = np.arange(1.0, MODES + 1.0)
    ratio = frequency / frequency[0]
    shaping = np.stack([5e-5 * (n**2 - 1.0), 0.004 * np.sin(0.9 * n) - 0.004 * np.sin(0.9)], axis=1)
    off = shaping @ rng.standard_normal(2) + 1e-4 * rng.standard_normal(MODES) * (n > 1)
    expected = float(frequency[0] * np.exp(spread * rng.standard_normal()))
    return Series(
        ratio * np.exp(-off), 0.4 * expected, 2.5 * expected, shaping, expected, 2.0 * spread
    )


def drawn(count: int, seed: int = 7) -> list[Pluck]:
    """Plucks of many kinds, drawn at random."""
    rng = np.random.default_rng(seed)
    found: list[Pluck] = []
    for i in range(count):
        length = rng.uniform(0.45, 1.6)
        pitch = float(np.exp(rng.uniform(np.log(28.0), np.log(180.0))))
        mass = rng.uniform(3e-3, 6e-3)
        tension = mass * (2.0 * length * pitch) ** 2
        heavy = mass * rng.uniform(1.2, 2.5, 3)
        # Up to three hundredths higher at first: the swing that does that.
        rise = rng.choice([0.0005, 0.004, 0.015, 0.03]) * rng.uniform(0.5, 1.0)
        stretch = 3e5
        swing = length * np.sqrt(rise * 4.0 * tension / (stretch * np.pi**2) * 1.6)
        found.append(
            Pluck(
                length=length, masses=(heavy[0], mass, heavy[1], mass, heavy[2]),
                parts=(rng.uniform(0.02, 0.12), rng.uniform(0.2, 0.4), rng.uniform(0.04, 0.16),
                       rng.uniform(0.2, 0.4), rng.uniform(0.02, 0.12)),
                weight=rng.choice([0.0, 3e-4]), tension=tension, stretch=stretch, swing=swing,
                bending=rng.choice([0.0, 1e-5, 1e-4]) * tension * length**2,
                pick=rng.uniform(0.08, 0.5), round_=rng.choice([0.005, 0.02, 0.06]),
                heard=rng.uniform(0.1, 0.45), decay=rng.uniform(0.7, 5.0),
                decay_rise=rng.uniform(0.1, 1.5), rate=float(rng.choice([8000, 12000, 16000])),
                roll_off=float(rng.choice([20.0, 80.0, 140.0])),
                hiss=float(rng.choice([1e-3, 1e-2, 3e-2])),
                rumble=float(rng.choice([0.0, 3e-3, 3e-2])),
                clatter=float(rng.choice([0.0, 0.0, 0.03])),
                hum=float(rng.choice([0.0, 0.01, 0.1])), mains=float(rng.choice([50.0, 60.0])),
                seed=int(1000 * seed + i),
            )
        )  # fmt: skip
    return found


def quiet(pluck: Pluck) -> Pluck:
    """The same pluck where nothing else is heard."""
    return replace(pluck, hiss=0.0, rumble=0.0, clatter=0.0, hum=0.0)
