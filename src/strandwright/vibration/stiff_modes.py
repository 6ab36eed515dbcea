r"""Modes of a line that resists bending, by the exact stiffness of its sections at a frequency.

Put together, the number of modes below a frequency is that of the sections clamped at both ends,
plus the number of negative pivots of the whole: no mode can be missed (Wittrick and Williams
1971). A mode is sought from that of the same line without bending by Rayleigh's quotient, and what
it comes to is kept only if the count says that it is the one; else it is found by halving.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.numerics.outcome import Outcome, Reason
from strandwright.vibration.phases import sines
from strandwright.vibration.sounding_line import SoundingLine
from strandwright.vibration.stiff_sections import Waves, end_moves, section_waves
from strandwright.vibration.stiff_whole import Whole, count_below, whole_line

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
#: Relative step of the frequency by which the mass of a swing is taken.
_STEP = 1e-6
#: To which share of itself a frequency is counted, and to which it is sought.
_SURE, _CLOSE = 1e-10, 1e-13
#: Where the quotient is begun again, beside a first guess that led to another mode.
_BESIDE = (1.0, 1.003, 0.998)
_QUOTIENTS, _HALVINGS, _GROWTHS = 10, 120, 100


def stiff_frequencies(line: SoundingLine, lowest: Floats) -> Outcome[Floats]:
    """Find the frequencies of a line that resists bending.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch, with bending stiffness.
    lowest : ndarray, shape (batch, modes)
        Angular frequencies of the same line without it, none of which are higher [rad/s]

    Returns
    -------
    Outcome of ndarray, shape (batch, modes)
        Angular frequencies [rad/s]; the residual is what is left of them, as a share [-].
    """
    line, count = in_two(line), lowest.shape[1]
    case = np.repeat(np.arange(line.cases), count)
    order = np.tile(np.arange(1, count + 1), line.cases)
    bare = lowest.ravel()
    start = _guess(line, case, bare)
    omega, left, known = bare.copy(), np.ones_like(bare), np.zeros(len(bare), dtype=bool)
    for beside in _BESIDE:
        rows = np.flatnonzero(~known)
        if len(rows):
            near, left[rows] = _near(line, case[rows], start[rows] * beside, bare[rows])
            under = count_below(line, case[rows], near * (1.0 - _SURE)) < order[rows]
            over = count_below(line, case[rows], near * (1.0 + _SURE)) >= order[rows]
            omega[rows], known[rows] = near, under & over
    again = np.flatnonzero(~known)
    steps = _QUOTIENTS
    ok = np.ones(len(case), dtype=bool)
    if len(again):
        found = _halved(line, case[again], order[again], bare[again])
        omega[again], ok[again], left[again] = found.value, found.ok, found.residual
        steps = found.iterations
    reason = Reason.CONVERGED if bool(np.all(ok)) else Reason.NOT_CONVERGED
    shape = lowest.shape
    return Outcome(omega.reshape(shape), ok.reshape(shape), reason, left.reshape(shape), steps)


def stiff_parts(line: SoundingLine, omega: Floats) -> tuple[Waves, Floats]:
    """Give of which waves the modes of a line that resists bending are made.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch, with bending stiffness.
    omega : ndarray, shape (batch, modes)
        Its angular frequencies [rad/s]

    Returns
    -------
    (Waves, ndarray)
        Waves of each section, a line of one parted in two, and the size of its four,
        (batch modes, sections, 4) [-]
    """
    line = in_two(line)
    case, flat = np.repeat(np.arange(line.cases), omega.shape[1]), omega.ravel()
    _, (deflection, lean), _ = _quotients(line, case, flat, flat)
    moves = np.stack([deflection, lean], axis=-1)
    ends = np.concatenate([moves[:, :-1], moves[:, 1:]], axis=-1)
    waves = section_waves(line, case, flat)
    parts = [
        np.linalg.solve(end_moves(waves, i), ends[:, i, :, None])[..., 0]
        for i in range(ends.shape[1])
    ]
    return waves, np.stack(parts, axis=1).astype(np.float64)


def in_two(line: SoundingLine) -> SoundingLine:
    """Part a line of one section in two, so that something of it is free between its ends.

    Parameters
    ----------
    line : SoundingLine
        Any line.

    Returns
    -------
    SoundingLine
        The same, of two sections or more.
    """
    if line.length.shape[1] > 1:
        return line
    halves = (0.5 * line.length, line.mass_per_length, line.bending_stiffness)
    long, mass, bending = (np.repeat(v, 2, axis=1) for v in halves)
    return replace(
        line,
        length=long,
        mass_per_length=mass,
        bending_stiffness=bending,
        weight=np.zeros((line.cases, 1)),
        joint_spring=np.zeros((line.cases, 1)),
    )


def _guess(line: SoundingLine, case: Rows, bare: Floats) -> Floats:
    """Where a mode may lie: for ends that are clamped, and bends along it."""
    depth = np.sqrt(line.bending_stiffness / line.tension[:, None])
    long = line.length.sum(axis=1)
    ends = depth[:, 0] * line.clamped[0] + depth[:, -1] * line.clamped[1]
    mass = (line.length * line.mass_per_length).sum(axis=1) / long
    stiff = (line.length * line.bending_stiffness).sum(axis=1) / long
    bent = stiff * mass / line.tension**2
    rises = (1.0 + ends / long)[case] * np.sqrt(1.0 + bent[case] * bare**2)
    return bare * rises


def _near(line: SoundingLine, case: Rows, start: Floats, bare: Floats) -> tuple[Floats, Floats]:
    """Frequencies of the modes that the quotient comes to from a start, and the last step."""
    with np.errstate(over="ignore", invalid="ignore"):
        omega, _, left = _quotients(line, case, start, bare)
    return np.where(np.isfinite(omega) & (omega > 0.0), omega, bare), left


def _quotients(
    line: SoundingLine, case: Rows, start: Floats, bare: Floats
) -> tuple[Floats, tuple[Floats, Floats], Floats]:
    """Frequency, moves at the joints, and the last step, by Rayleigh's quotient."""
    moves = _bare_moves(line, case, bare)
    omega, step = start, np.full_like(start, np.inf)
    for turn in range(_QUOTIENTS):
        here = whole_line(line, case, omega)
        ahead = whole_line(line, case, omega * (1.0 + _STEP))
        falls = [_over(b - a, _STEP * omega) for a, b in zip(here, ahead, strict=True)]
        heavy = Whole(*(-v for v in falls))
        moves = here.solve(heavy.times(moves))
        size = np.maximum(np.abs(moves[0]).max(axis=1), 1e-300)[:, None]
        moves = (moves[0] / size, moves[1] / size)
        step = here.energy(moves) / heavy.energy(moves)
        # A quotient far off says only which way.
        step = np.clip(step, -0.3 * omega, 0.3 * omega)
        omega = omega + step
        if turn and bool(np.all((np.abs(step) <= _CLOSE * omega) | ~np.isfinite(step))):
            break
    return omega, moves, np.abs(step / omega)


def _over(values: Floats, by: Floats) -> Floats:
    return values / by[:, None]


def _bare_moves(line: SoundingLine, case: Rows, bare: Floats) -> tuple[Floats, Floats]:
    """Deflection and lean where sections meet of the same line without bending."""
    waves = sines(line, case, bare)
    reach = waves.phase + waves.number * line.length[case]
    first = waves.size * np.sin(waves.phase)
    leans = waves.size * waves.number
    near, far = leans * np.cos(waves.phase), leans * np.cos(reach)
    last = (waves.size * np.sin(reach))[:, -1:]
    middle = 0.5 * (near[:, 1:] + far[:, :-1])
    lean = np.concatenate([near[:, :1], middle, far[:, -1:]], axis=1)
    return np.concatenate([first, last], axis=1), lean


def _halved(line: SoundingLine, case: Rows, order: Rows, bare: Floats) -> Outcome[Floats]:
    """Frequencies between which the count passes the order, ever nearer."""
    low, high = bare * (1.0 - 1e-9), 1.05 * bare
    short = count_below(line, case, high) < order
    growing = 0
    while np.any(short) and growing < _GROWTHS:
        growing += 1
        low, high = np.where(short, high, low), np.where(short, 1.5 * high, high)
        short = count_below(line, case, high) < order
    steps = 0
    while steps < _HALVINGS and np.any(high - low > _CLOSE * high):
        steps += 1
        middle = 0.5 * (low + high)
        under = count_below(line, case, middle) < order
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    left = (high - low) / high
    ok = np.asarray((left <= _SURE) & ~short)
    reason = Reason.CONVERGED if bool(np.all(ok)) else Reason.NOT_CONVERGED
    return Outcome(0.5 * (low + high), ok, reason, left, steps)
