"""Fitting: frequency, decay and size of all partials together, with the drift they share."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.frames import Leaks
from strandwright.vibration.ringing import Ringing

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
_STEPS = 14
#: A step that should lower the sum of squares less than this is the last.
_SMALL = 0.2
#: Standard uncertainties beforehand: of the drift, of its rate (as a logarithm), and of how much
#: one partial's drift differs from all others', as a share of it.
_DRIFT, _RATE, _OWN = 0.03, 0.35, 0.2
#: And of the frequency of hum, as a share, and of a second pitch.
_HUM, _SPLIT = 5e-4, 1.0
_LEAST_OWN = 2e-5
#: Furthest that drift, its rate's logarithm, hum and the split go in one step.
_FAR = (0.01, 0.5, 5e-4, 0.003)
#: Numbers of each partial's own: size, phase, decay, frequency, drift; then hum and second.
_BASE = 5


@dataclass(frozen=True)
class _State:
    """Where a fit stands: the partials, what is left of the frames, and how much that is."""

    ringing: Ringing
    leak: Complexes
    rising: Floats
    slope: Floats
    first: Complexes
    wave: Complexes | None
    whole: Complexes
    left: Complexes
    cost: float


def fitted(ringing: Ringing) -> Ringing:
    """Fit all partials together by Gauss and Newton's method, with what they leave in each other.

    Parameters
    ----------
    ringing : Ringing
        Where to start.

    Returns
    -------
    Ringing
        Fitted, with the noise it came with.
    """
    leaks = ringing.frames.leaks(ringing.frequency, ringing.decay)
    return _fitted(ringing, leaks)[0].ringing


def _fitted(ringing: Ringing, leaks: Leaks) -> tuple[_State, Floats]:
    """Where it settles, and the covariance a last step before."""
    # How the swing's square dies away is held while all else moves.
    ringing = replace(ringing, fall=ringing.falling())
    here, damping = _state(ringing, leaks), 1e-6
    covariance = ringing.covariance
    for _ in range(_STEPS):
        moved, gain, covariance = _step(here, damping)
        trial = _state(moved, leaks, here.leak)
        if trial.cost < here.cost * (1.0 + 1e-12):
            here, damping = _leaked_anew(trial, leaks), max(1e-9, 0.1 * damping)
            if gain < _SMALL:
                break
        else:
            damping = 30.0 * damping + 1e-5
            if damping > 1e4:
                break
    return here, covariance


def settled(ringing: Ringing) -> Ringing:
    """Take the noise about each partial from what is left, fit again, and say how sure it is.

    Parameters
    ----------
    ringing : Ringing
        Fitted with noise from the spectrum.

    Returns
    -------
    Ringing
        With noise and covariance.
    """
    leaks = ringing.frames.leaks(ringing.frequency, ringing.decay)
    here, covariance = _state(ringing, leaks), ringing.covariance
    for _ in range(2):
        ringing = here.ringing
        left = np.mean(np.abs(here.left) ** 2, axis=1)
        count = len(ringing.frames.time) / ringing.frames.overlap
        used = 3.0 + np.isfinite(ringing.hum_at) + ringing.doubled
        mean = left * count / np.maximum(count - used, 0.3 * count)
        floor = 1e-24 * np.exp(2.0 * ringing.log_size)
        here, covariance = _fitted(replace(ringing, noise=np.maximum(mean, floor)), leaks)
    return replace(here.ringing, covariance=covariance * _sameness(here))


def _sameness(state: _State) -> float:
    """How many frames tell as much as one: by the overlap, or more where what is left drifts."""
    frames = state.ringing.frames
    size = np.abs(state.first) + 1e-300
    turned = state.left * np.conj(state.first) / size
    turned = turned * np.minimum(1.0, size / np.sqrt(state.ringing.noise)[:, None])
    block = max(4, len(frames.time) // 5)
    blocks = len(frames.time) // block
    if blocks < 2:
        return 2.0 * frames.overlap
    turned = turned[:, : blocks * block].reshape(len(turned), blocks, block)
    each = np.sum(np.abs(turned) ** 2, axis=(1, 2)) + 1e-300
    together = np.sum(np.abs(np.sum(turned, axis=2)) ** 2, axis=1)
    return max(frames.overlap, float(np.mean(together / each)))


def _state(ringing: Ringing, leaks: Leaks, leak: Complexes | None = None) -> _State:
    rising, slope = ringing.rising()
    first = ringing.first(rising)
    wave = ringing.wave() if ringing.doubled else None
    whole = first if wave is None else first * (1.0 + ringing.other[:, None] * wave)
    if leak is None:
        leak = leaks.of(whole)
    left = ringing.frames.swing - leak - whole
    if ringing.hums:
        left = left - ringing.hum[:, None] * ringing.tone()
    cost = _cost(ringing, left)
    return _State(ringing, leak, rising, slope, first, wave, whole, left, cost)


def _leaked_anew(state: _State, leaks: Leaks) -> _State:
    leak = leaks.of(state.whole)
    left = state.left + state.leak - leak
    return replace(state, leak=leak, left=left, cost=_cost(state.ringing, left))


def _cost(ringing: Ringing, left: Complexes) -> float:
    square = float(np.sum(np.sum(left.real**2 + left.imag**2, axis=1) / ringing.noise))
    own = ringing.own / max(_OWN * abs(ringing.drift), _LEAST_OWN)
    prior = float(np.dot(own, own)) + (ringing.drift / _DRIFT) ** 2
    cost = 2.0 * square + prior + (np.log(ringing.rate) / _RATE) ** 2
    return cost if np.isfinite(cost) else np.inf


def _columns(state: _State) -> tuple[Complexes, int]:
    """Change of each frame by each number, then what is left; how many are each partial's own."""
    ringing, whole = state.ringing, state.whole
    t, f = ringing.frames.time, ringing.frequency[:, None]
    drift = (ringing.drift + ringing.own)[:, None]
    turn = (2.0j * np.pi * f) * whole
    raised = turn * state.rising
    # A frequency counts by its logarithm, so that all columns are of a size.
    own = [whole, 1j * whole, -t * whole, turn * (t + drift * state.rising), raised]
    common = [raised, turn * (drift * state.slope)]
    if ringing.hums:
        tone = ringing.tone()
        own += [tone, 1j * tone]
        at = np.nan_to_num(ringing.hum_at) * ringing.hum
        common.append((2.0j * np.pi * at)[:, None] * tone * t)
    if state.wave is not None:
        pair = state.first * state.wave
        later = (2.0j * np.pi * f * ringing.other[:, None]) * t * pair
        own[3] = own[3] + ringing.split * later
        own += [pair, 1j * pair]
        common.append(later)
    rows = np.stack([*own, *common, state.left], axis=1)
    rows *= np.sqrt(2.0 / ringing.noise)[:, None, None]
    return rows, len(own)


def _step(state: _State, damping: float) -> tuple[Ringing, float, Floats]:
    """One step, what it should gain, and the covariance of log frequencies and split."""
    ringing = state.ringing
    rows, count = _columns(state)
    real = rows.view(np.float64)
    gram = real @ np.swapaxes(real, 1, 2)
    mine, cross = gram[:, :count, :count], gram[:, :count, count:]
    total = np.sum(gram[:, count:, count:], axis=0)
    core, pull = total[:-1, :-1], total[:-1, -1]
    sure = 1.0 / max(_OWN * abs(ringing.drift), _LEAST_OWN) ** 2
    mine[:, 4, 4] += sure
    cross[:, 4, -1] -= sure * ringing.own
    prior = _used(ringing, (_DRIFT, _RATE, _HUM, _SPLIT)) ** -2
    # Hum's frequency and the split are held to where they are; drift and rate to what is expected.
    pull = pull - prior * _used(ringing, (ringing.drift, np.log(ringing.rate), 0.0, 0.0))
    diagonal = np.einsum("nii->ni", mine)
    diagonal *= 1.0 + damping + 1e-12
    diagonal += 1e-12 * np.max(diagonal, axis=1, keepdims=True) + 1e-200
    core = core + np.diag(prior + damping * np.diagonal(core))
    # The common numbers first, each partial's own put aside; then those.
    inverse = np.asarray(np.linalg.inv(mine), dtype=np.float64)
    solved = inverse @ cross
    back, alone = solved[..., :-1], solved[..., -1]
    core = core - np.einsum("nki,nkj->ij", cross[..., :-1], back)
    spread = np.linalg.inv(core)
    common = spread @ (pull - np.einsum("nki,nk->i", cross[..., :-1], alone))
    covariance = _covariance(inverse[:, 3, 3], back[:, 3, :], spread, ringing.doubled)
    move = alone - back @ common
    gain = float(np.sum(move * cross[..., -1]) + common @ pull)
    return _moved(ringing, move, common), gain, covariance


def _used(ringing: Ringing, values: tuple[float, ...]) -> Floats:
    """Of numbers for drift, rate, hum and split, those that are fitted."""
    return np.array(values)[[True, True, ringing.hums, ringing.doubled]]


def _covariance(single: Floats, lean: Floats, spread: Floats, doubled: bool) -> Floats:
    """Of log frequencies, then of the split."""
    partials = len(single)
    total = np.zeros((partials + 1, partials + 1))
    total[:partials, :partials] = np.diag(single) + lean @ spread @ lean.T
    if doubled:
        total[partials, partials] = spread[-1, -1]
        total[:partials, partials] = total[partials, :partials] = -lean @ spread[:, -1]
    return total


def _moved(ringing: Ringing, move: Floats, common: Floats) -> Ringing:
    # Whole steps are shortened together, so that drift and frequencies stay in balance.
    limit = max(1.0, float(np.max(np.abs(common) / _used(ringing, _FAR))))
    own = np.maximum(1.0, np.max(np.abs(move[:, :2]), axis=1) / limit)
    move, common = move / (limit * own)[:, None], common / limit
    at = _BASE
    hum, hum_at, other, split = ringing.hum, ringing.hum_at, ringing.other, ringing.split
    if ringing.hums:
        hum_at = hum_at * (1.0 + common[2])
        hum = hum + np.where(np.isfinite(ringing.hum_at), move[:, at] + 1j * move[:, at + 1], 0.0)
        at += 2
    if ringing.doubled:
        other = other + move[:, at] + 1j * move[:, at + 1]
        split = split + float(common[-1])
    return replace(
        ringing,
        log_size=ringing.log_size + move[:, 0],
        phase=ringing.phase + move[:, 1],
        decay=np.clip(ringing.decay + move[:, 2], -5.0, 1000.0),
        frequency=ringing.frequency * np.exp(np.clip(move[:, 3], -0.02, 0.02)),
        own=ringing.own + move[:, 4],
        drift=float(np.clip(ringing.drift + common[0], -0.03, 0.12)),
        rate=float(np.clip(ringing.rate * np.exp(common[1]), 0.1, 10.0)),
        hum=hum,
        hum_at=hum_at,
        other=other,
        split=split,
    )
