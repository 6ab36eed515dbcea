"""Watch words: what the looks at a standing line say, in sentences."""

from __future__ import annotations

from strandwright.planning.estimate import Estimate
from strandwright.planning.watching.parts import Settled, Watch
from strandwright.planning.written import Written
from strandwright.units import INCH

#: Settling less than this until the proof does not matter: 1/64 in [m]
MATTERS = INCH / 64.0
#: A scatter so much larger than was stated is spoken of [-]
SPOKEN_OF = 1.5
#: What makes each part of the +- smaller.
REMEDIES = {
    "reading the posts": "read the posts more finely",
    "reading the load": "read or hear the load more often",
    "how far the line stretches by load": "pull it up to the same load before each look",
    "the temperature": "note the temperature with each look",
}
READ_THE_POSTS = (
    "read the posts, outside to outside, with each load, as finely as you can: a caliper or a dial "
    "gauge between them does best"
)


def sentences(watch: Watch, to: Written) -> tuple[str, ...]:
    """Say what the looks tell.

    Parameters
    ----------
    watch : Watch
        What they were judged to say.
    to : Written
        How quantities are written.

    Returns
    -------
    tuple of str
        The verdict first; what to read better, last.
    """
    if watch.fit is None:
        return (f"One look tells no settling: look again in a few minutes, and {READ_THE_POSTS}.",)
    said = _together(watch, to) if watch.is_joint else _line_alone(watch, to)
    return (*said, *_beside(watch, to))


def matters(to: Written) -> str:
    """Write the settling that matters.

    Parameters
    ----------
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``1/64 in`` or ``0.4 mm``.
    """
    return "1/64 in" if to.system == "in" else "0.4 mm"


def _rate(watch: Watch, to: Written) -> str:
    assert watch.rate is not None
    return f"{_signed(watch.rate, to)} for each tenfold of the time"


def _signed(estimate: Estimate, to: Written) -> str:
    way = "longer" if estimate.value >= 0.0 else "shorter"
    return f"{to.small_estimate(Estimate(abs(estimate.value), estimate.u, 'm'))} {way}"


def _line_alone(watch: Watch, to: Written) -> list[str]:
    assert watch.soon is not None
    assert watch.to_come is not None
    head = {
        Settled.SETTLED: "Settled",
        Settled.MOVING: "Still moving",
        Settled.UNSURE: "Cannot be told yet",
    }[watch.verdict]
    end = {
        Settled.SETTLED: f"less than the {matters(to)} that matters",
        Settled.MOVING: f"more than the {matters(to)} that matters: let it stand longer",
        Settled.UNSURE: f"which may be more than the {matters(to)} that matters: look again",
    }[watch.verdict]
    said = [
        f"{head}: the line gets {_rate(watch, to)}.",
        f"Another 10 min would bring {to.small_estimate(watch.soon)}; until the proof "
        f"{to.small_estimate(watch.to_come)} is still to come under load, {end}.",
    ]
    if watch.verdict is Settled.UNSURE:
        cause = watch.budget[0][0]
        said.append(f"Most of the ± comes from {cause}: {REMEDIES[cause]}.")
    if watch.bench_share is not None:
        share = to.share_estimate(watch.bench_share)
        said.append(f"Of the fall of the load the bench made {share}.")
    return said


def _together(watch: Watch, to: Written) -> list[str]:
    assert watch.rate is not None
    said = [
        f"Bench and line together gave {to.small_estimate(watch.rate)} for each tenfold of the "
        "time.",
        f"A load alone cannot tell the line from the strap: to part them {READ_THE_POSTS}.",
    ]
    if watch.rate.value > watch.rate.u95:
        said.append("The line's own part is no larger, where strap and posts only give.")
    if watch.pulled_up:
        said.append("Counted since the load was last pulled up.")
    return said


def _beside(watch: Watch, to: Written) -> list[str]:
    said: list[str] = []
    if watch.room_part > 0.0:
        said.append(
            f"No change of temperature was read: of that ± it may make "
            f"{to.small(2.0 * watch.room_part)}; note the temperature with each look."
        )
    if watch.fit is not None and watch.fit.widened > SPOKEN_OF:
        said.append("The looks scatter more than their own ± says: the ± is widened by as much.")
    return said
