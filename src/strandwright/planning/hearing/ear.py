"""The ear: what a line sounds like at any load, and the load that a pitch tells of.

The modes are worked out once, at a few loads and for each thing that is not known exactly; a
pluck is then a matter of microseconds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import SpecError
from strandwright.numerics.budget import rank_contributions
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.planning.estimate import Estimate
from strandwright.planning.hearing.believing import believable, may_be_elsewhere
from strandwright.planning.hearing.checks import own_checks
from strandwright.planning.hearing.heard_load import HeardLoad, Listened
from strandwright.planning.hearing.known import checked_on_this_line, ear_parameters
from strandwright.planning.hearing.places import Places, places_on
from strandwright.planning.hearing.sounding import Through, standing_as_line
from strandwright.planning.hearing.standing import Standing
from strandwright.planning.strand_stock import KnownStrand
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.vibration.heard import Heard, Refusal, refused
from strandwright.vibration.modes import modes
from strandwright.vibration.pluck import ring, told_of
from strandwright.vibration.series import Series
from strandwright.vibration.sound import Sound
from strandwright.vibration.sounding_line import SoundingLine
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]

#: Modes that are reckoned with [-]
MODES = 12
#: Loads from this share of the one asked for to this many times it are heard [-]
LOWEST, HIGHEST = 0.03, 5.0
#: The ends may bend over this share of a line together, no more, for its load to be told [-]
_STIFF = 0.25
#: Nor may the least load that can be told be nearer to the one asked for than this share [-]
_LEAST = 0.5
#: Loads at which the modes are worked out, evenly over the logarithm's half circle [-]
_NODES = 11
#: How far off the load may be before it is heard, a factor to either side at one sigma [-]
_SPREAD = 0.45
#: Shares of the load asked for at which else a doubtful pluck is listened to [-]
_ELSEWHERE = (0.3, 0.1, 0.045)
#: A series is taken anew, at the load that was heard, so often at most [-]
_ROUNDS = 8
#: Modes that were told apart at one load are told apart anew at one this far from it, as a
#: logarithm [-]
_REFIT = 0.5
#: Ratios of modes that differ by less than this, as logarithms, are the same to a pluck [-]
_SETTLED = 3e-4
#: Things that shape the ratios by less than this in every mode are left out of the search [-]
_SHAPES = 2e-5


@dataclass(frozen=True)
class Ear:
    """What a line at a step sounds like.

    Attributes
    ----------
    standing : Standing
        The line.
    known : ParameterVector
        What turns its pitch into a load, as known beforehand.
    expects : bool
        Whether the load is looked for near the one asked for.
    checked_at : float or None
        Known load at which this very line was heard before; None where it was not [N].
    checked_bare : bool
        Whether that was before it was served, and it is served now.
    """

    standing: Standing
    known: ParameterVector
    expects: bool = True
    checked_at: float | None = None
    checked_bare: bool = False

    @cached_property
    def shares(self) -> tuple[float, float]:
        """Least and highest load that it hears, of the one asked for [-]."""
        stand = self.standing
        held = math.fsum(np.sqrt(self.known.value("bending") * stand.solid[[0, -1]]))
        stiff = (held / (_STIFF * float(stand.length.sum()))) ** 2
        return max(LOWEST, stiff / stand.target), HIGHEST

    @cached_property
    def _nodes(self) -> Floats:
        """Logarithm of the loads at which the modes are worked out, rising."""
        low, high = (math.log(share) for share in self.shares)
        angle = np.pi * (np.arange(_NODES)[::-1] + 0.5) / _NODES
        return math.log(self.standing.target) + 0.5 * (low + high + (high - low) * np.cos(angle))

    @cached_property
    def _through(self) -> Through:
        return Through(self._nodes)

    @cached_property
    def _table(self) -> tuple[Floats, Floats]:
        """Log frequencies (nodes, modes), and their change for one sigma (nodes, modes, known)."""
        count = len(self.known.names)
        step = np.zeros((1 + 2 * count, count))
        for i in range(count):
            step[1 + 2 * i, i], step[2 + 2 * i, i] = 0.5, -0.5
        load = np.repeat(np.exp(self._nodes), len(step))
        off = np.tile(step, (_NODES, 1))
        found = modes(self._line(load, off), MODES).value.frequency
        log_f = np.log(found).reshape(_NODES, len(step), MODES)
        slopes = np.stack(
            [log_f[:, 1 + 2 * i] - log_f[:, 2 + 2 * i] for i in range(count)], axis=-1
        )
        return log_f[:, 0], slopes

    def _line(self, load: Floats, off: Floats) -> SoundingLine:
        """The line at loads, its unknowns so many sigma off their means, cases first."""
        at, u = self.known.mean, self.known.deviations
        x = {name: self.known.natural(at + off * u)[name] for name in self.known.names}
        stand = self.standing
        return standing_as_line(stand, load / x["jig"], x)

    def _at(self, log_load: float) -> tuple[Floats, Floats, Floats]:
        """Log frequencies, their slope with log load, and their change for one sigma, at a load."""
        value, slope = self._through.at(log_load)
        log_f, by_known = self._table
        return value @ log_f, slope @ log_f, np.einsum("n,nmp->mp", value, by_known)

    # ------------------------------------------------------------------------------ expected

    def pitch_at(self, load: float) -> Estimate:
        """Pitch of the line at a load.

        Parameters
        ----------
        load : float
            Load on the line [N]

        Returns
        -------
        Estimate
            Frequency of its first mode [Hz]
        """
        log_f, _, by_known = self._at(math.log(load))
        pitch = math.exp(float(log_f[0]))
        return Estimate(pitch, pitch * float(np.linalg.norm(by_known[0])), "Hz")

    def partials_at(self, load: float) -> tuple[float, ...]:
        """Frequencies of the line's modes at a load.

        Parameters
        ----------
        load : float
            Load on the line [N]

        Returns
        -------
        tuple of float
            The lowest first [Hz]
        """
        return tuple(float(f) for f in np.exp(self._at(math.log(load))[0]))

    @cached_property
    def places(self) -> Places:
        """Where to pluck it and to listen."""
        middle = np.zeros((1, len(self.known.names)))
        line = self._line(np.array([self.standing.target]), middle)
        return places_on(self.standing, line)

    def series_at(self, load: float) -> Series:
        """Give what a pluck is compared with, its ratios those at a load.

        Parameters
        ----------
        load : float
            Load on the line [N]

        Returns
        -------
        Series
            With a shape for each thing that moves the ratios.
        """
        log_f, _, by_known = self._at(math.log(load))
        ends = self._table[0][[0, -1], 0]
        shaping = (by_known - by_known[0])[:, self._shaping]
        expected, _, _ = self._at(math.log(self.standing.target))
        return Series(
            ratio=np.exp(log_f - log_f[0]),
            lowest=math.exp(float(ends[0])),
            highest=math.exp(float(ends[1])),
            shaping=shaping,
            expected=math.exp(float(expected[0])) if self.expects else math.nan,
            expected_spread=0.5 * _SPREAD,
        )

    @cached_property
    def _shaping(self) -> NDArray[np.intp]:
        """Which of the unknowns shape the ratios."""
        _, by_known = self._table
        moved = np.abs(by_known - by_known[:, :1]).max(axis=(0, 1))
        return np.flatnonzero(moved > _SHAPES)

    # --------------------------------------------------------------------------------- heard

    def hear(self, sound: Sound) -> Listened:
        """Hear every pluck in a sound, and the load that each tells of.

        Parameters
        ----------
        sound : Sound
            The sound.

        Returns
        -------
        Listened
            Its plucks with their loads, or why there are none.
        """
        target = self.standing.target
        best = self._settled(sound, target)
        if not may_be_elsewhere(best):
            return best
        # A slack line's modes lie so far from those at the load asked for that, looked for
        # there, a few of them pass for those of a much tighter one.
        for share in _ELSEWHERE:
            other = self._settled(sound, max(share, self.shares[0]) * target)
            if _modes_heard(other) > _modes_heard(best):
                best = other
        return best

    def _settled(self, sound: Sound, load: float) -> Listened:
        """Hear with the modes at a load, then at the one that was heard, until they agree."""
        plucks: list[tuple[Heard, HeardLoad]] = []
        rung, fitted_at = ring(sound, self.series_at(load)), load
        for _ in range(_ROUNDS):
            if abs(math.log(load / fitted_at)) > _REFIT:
                rung, fitted_at = ring(sound, self.series_at(load)), load
            heard = told_of(rung, self.series_at(load))
            plucks = [(h, found) for h in heard if (found := self.load_of(h)) is not None]
            if not plucks:
                return Listened((), heard[-1])
            before, load = load, float(np.median([x.load.value for _, x in plucks]))
            if self._alike(before, load):
                return _believed(plucks)
        return _believed(plucks)

    def _alike(self, one: float, other: float) -> bool:
        """Whether the modes' ratios are the same at two loads, as far as a pluck tells them."""
        now, then = (self._at(math.log(load))[0] for load in (one, other))
        return float(np.abs((now - now[0]) - (then - then[0])).max()) < _SETTLED

    def load_of(self, heard: Heard) -> HeardLoad | None:
        """Give the load that a pitch tells of.

        Parameters
        ----------
        heard : Heard
            What was heard, by the series of this line.

        Returns
        -------
        HeardLoad or None
            None where no pitch was heard.
        """
        if heard.refusal is not None:
            return None
        count = len(self.known.names)
        at = np.zeros(count)
        at[self._shaping] = heard.shape
        log_load = self._solve(math.log(heard.pitch), at)
        power, by_known = self._slopes(log_load)
        if self.checked_at is not None:
            # What was wrong then is wrong now: only what has changed since is left.
            by_known = np.where(self._is("jig"), by_known, by_known - self._then() * power)
        covariance = np.zeros((1 + count, 1 + count))
        covariance[1:, 1:] = np.eye(count)
        told = np.concatenate([[0], 1 + self._shaping])
        covariance[np.ix_(told, told)] = heard.covariance
        slopes = np.concatenate([[1.0], -by_known]) / power
        load = math.exp(log_load)
        if heard.second is not None:
            # Which of the two is the one that is reckoned with, nobody knows.
            covariance[0, 0] += math.log(heard.second.pitch / heard.pitch) ** 2
        variance = float(slopes @ covariance @ slopes)
        own = math.sqrt(float(covariance[0, 0])) / power
        budget = rank_contributions(self._together(covariance), load * slopes, load**2 * variance)
        return HeardLoad(
            load=Estimate(load, load * math.sqrt(variance), "N"),
            own=min(own, math.sqrt(variance)),
            budget=tuple(part for part in budget if part.parameter != "curvature"),
        )

    def _slopes(self, log_load: float) -> tuple[float, Floats]:
        """Change of the pitch's logarithm with that of the load, and for one sigma of each."""
        within = float(np.clip(log_load, self._nodes[0], self._nodes[-1]))
        _, slope, by_known = self._at(within)
        return float(slope[0]), by_known[0]

    def _then(self) -> Floats:
        """Change of what was heard of the known load with each of the unknowns, when checked."""
        assert self.checked_at is not None
        power, by_known = self._slopes(math.log(self.checked_at))
        if self.checked_bare:
            # Strands alone swung then: their mass counted whole, that of the thread not at all.
            mass = -0.5 * self.known.deviations
            by_known = np.where(self._is("mass"), mass, by_known)
            by_known = np.where(self._is("thread"), 0.0, by_known)
        return by_known / power

    def _is(self, which: str) -> NDArray[np.bool_]:
        return np.array([name == which for name in self.known.names])

    def unchecked(self, load: HeardLoad) -> Estimate:
        """Give a heard load as it would be told had nothing been checked before.

        Parameters
        ----------
        load : HeardLoad
            The load that one pluck, or several together, tell of.

        Returns
        -------
        Estimate
            What a check of the jig takes: a check of what was put right already says that nothing
            is wrong [N].
        """
        raw = load.load.value / self.known.value("jig")
        power, by_known = self._slopes(math.log(load.load.value))
        others = np.where(self._is("jig"), 0.0, by_known / power)
        jig = practice("ear.jig").standard_uncertainty
        return Estimate(raw, raw * math.hypot(load.own, jig, *others), "N")

    def _solve(self, log_pitch: float, at: Floats) -> float:
        """Log load at which the first mode has a pitch, the unknowns so many sigma off."""
        log_f, by_known = self._table
        rising = log_f[:, 0] + by_known[:, 0] @ at
        log_load = float(np.interp(log_pitch, rising, self._nodes))
        for _ in range(20):
            now, slope, moved = self._at(log_load)
            off = log_pitch - float(now[0] + moved[0] @ at)
            log_load += off / float(slope[0])
            if abs(off) < 1e-12:
                break
        return log_load

    def _together(self, covariance: Floats) -> ParameterVector:
        """The pitch and the unknowns as one vector, in sigma, for the budget."""
        pitch = Parameter("pitch", 0.0, 1.0, label="pitch of the pluck", source="the sound itself")
        known = [
            Parameter(name, 0.0, 1.0, label=label, source=source)
            for name, label, source in zip(
                self.known.names, self.known.labels, self.known.sources, strict=True
            )
        ]
        vector = ParameterVector.from_parameters([pitch, *known])
        return vector.with_updated(vector.mean, covariance)


def ear_for(job: Job, strand: KnownStrand, standing: Standing) -> Ear:
    """Make the ear for a line as it stands.

    Parameters
    ----------
    job : Job
        The job.
    strand : KnownStrand
        Its strand with the sources.
    standing : Standing
        How the line stands.

    Returns
    -------
    Ear
        The ear.

    Raises
    ------
    SpecError
        If the line is so short and stiff that its pitch tells little of a load like that.
    """
    served = bool(np.any(standing.thread[1:-1] > 0.0))
    known = ear_parameters(job, strand, standing.length_u, served)
    ear = Ear(
        standing,
        ParameterVector.from_parameters(known),
        checked_at=checked_on_this_line(job, served),
        checked_bare=own_checks(job, served)[1],
    )
    if ear.shares[0] > _LEAST:
        to = Written.on(job.paper)
        rule = f"must be under more load, to be heard, than {to.force(standing.target)}"
        line = f"{to.length(float(standing.length.sum()))} between its pins"
        raise SpecError("line", line, rule, "it is too short and stiff; read the load on a gauge")
    return ear


def _believed(plucks: list[tuple[Heard, HeardLoad]]) -> Listened:
    """Of plucks that gave a pitch those that can be of the line; where none can, why."""
    good = tuple((heard, load) for heard, load in plucks if believable(heard))
    if good:
        return Listened(good)
    last = plucks[-1][0]
    reason = Refusal.UNDECIDED
    return Listened((), refused(reason, len(last.shape), last.onset, last.duration, last.octave))


def _modes_heard(listened: Listened) -> int:
    """How many modes speak for what was heard, all plucks together."""
    return sum(len(heard.partials) for heard, _ in listened.plucks)
