"""Readings: what each that could be taken is worth, and whether now, later or not at all."""

from __future__ import annotations

from strandwright.planning.guided import asked_readings
from strandwright.planning.result import ReadingWorth
from strandwright.planning.worth.candidates import Candidate, candidates
from strandwright.planning.worth.grounds import WORTH_TELLING, Chances, Grounds
from strandwright.planning.worth.minutes import saved
from strandwright.planning.worth.remedies import with_candidate


def worth_of_readings(grounds: Grounds) -> tuple[ReadingWorth, ...]:
    """Say what every reading of a build is worth that could still be taken.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.

    Returns
    -------
    tuple of ReadingWorth
        In the order in which they would be taken.
    """
    now = grounds.chances()
    return tuple(worth_of(grounds, each, now) for each in candidates(grounds))


def worth_of(grounds: Grounds, candidate: Candidate, now: Chances) -> ReadingWorth:
    """Say what one reading is worth beside those that come anyway, and by itself.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.
    candidate : Candidate
        The reading.
    now : Chances
        The chances with the readings that are asked for.

    Returns
    -------
    ReadingWorth
        Its gains, what it saves and costs, and when to take it.

    Notes
    -----
    Beside the later ones: its gain on top of every reading that the route asks for anyway. By
    itself: its gain if the line were corrected by it alone. Where it pays only by itself, later
    readings tell the same.
    """
    if candidate.asked:
        others = _without(grounds, candidate.stage)
        before, then = others, now
    else:
        before, then = now, with_candidate(grounds, candidate)
    gain_first, gain = then.first - before.first, then.after - before.after
    saves = saved(grounds.prepared, gain_first, gain)
    alone = _alone(grounds, candidate)
    alone_saves = saved(grounds.prepared, alone, 0.0)
    told = max(gain_first, gain) >= WORTH_TELLING
    when = "not at all"
    if saves > candidate.time and told:
        when = "now"
    elif alone_saves > candidate.time and alone >= WORTH_TELLING:
        when = "later"
    return ReadingWorth(
        key=candidate.key,
        title=candidate.title,
        stage=candidate.stage,
        asked=candidate.asked,
        before=before.first,
        chance_first=then.first,
        chance=then.after,
        gain_first=gain_first,
        gain=gain,
        alone=alone,
        time=candidate.time,
        saves=saves,
        when=when,
    )


def _alone(grounds: Grounds, candidate: Candidate) -> float:
    """What a reading adds by itself; a second one of a stage comes after the first."""
    first = candidate.key == "again" and candidate.stage in asked_readings(grounds.prepared)
    before = grounds.lengths([candidate.stage] if first else [])
    return max(grounds.chance(before, candidate.evidence) - grounds.chance(before), 0.0)


def _without(grounds: Grounds, stage: str) -> Chances:
    """Chances where one of the readings that are asked for is not taken."""
    early = grounds.asked(proof=False, without=(stage,))
    every = grounds.asked(proof=True, without=(stage,))
    chance = grounds.chance(every)
    return Chances(grounds.chance(early), chance, 0.0)
