"""Words of a set: what its order of winding, its pairs and its chances come to, in sentences."""

from __future__ import annotations

from strandwright.planning.estimate import Estimate
from strandwright.planning.sets.result import BenchOrder, Heed, PairAnswer, SetChance
from strandwright.planning.written import Written, half_turns
from strandwright.reference import Datum

#: What is not in the time of a set.
UNTIL = "up to the last proof; tagging, waxing and fitting come after it"
_HOUR, _MINUTE = 3600.0, 60.0
#: Times are written to this: what work takes is no better known [s]
_COARSE = 300.0


def order_said(order: BenchOrder, to: Written) -> list[str]:
    """Say what an order of winding costs and saves.

    Parameters
    ----------
    order : BenchOrder
        The order.
    to : Written
        How quantities are written.

    Returns
    -------
    list of str
        Sentences; empty for one line alone.
    """
    if len(order.jobs) < 2:
        return []
    said = [f"{_and(jobs)} are wound on one setting of the posts" for jobs in order.together]
    changes = [
        f"the posts are set anew {_times(order.moves)}, {to.length(order.travel)} of travel in all,"
        if order.moves
        else "the posts stay where they are",
        f"the spool is changed {_times(order.spool_changes)}"
        if order.spool_changes
        else "the spool stays on the tool",
    ]
    cost = f": about {to.duration(order.time)}" if order.time > 0.0 else ""
    said.append(f"from line to line {_and(tuple(changes))}{cost}")
    if order.spool_changes:
        said.append("spools changed inside a line, from colour to colour, come on top")
    less = order.worst_travel - order.travel
    if order.saves <= 0.0 and less <= 0.0:
        said.append("every other order costs as much; so the longest line goes first")
        return said
    parts: list[str] = []
    if order.saves > 0.0:
        parts.append(f"about {to.duration(order.saves)}")
    if less > 0.0:
        parts.append(f"{to.length(less)} of travel")
    said.append(f"the costliest order would take {' and '.join(parts)} more")
    return said


def pair_said(pair: PairAnswer, to: Written) -> str:
    """Say what is to be done with a pair.

    Parameters
    ----------
    pair : PairAnswer
        It.
    to : Written
        How quantities are written.

    Returns
    -------
    str
        One sentence.
    """
    within = f"within {to.small(pair.bound)} of each other"
    if pair.is_read:
        apart = to.small_estimate(pair.difference)
        if abs(pair.difference.value) <= pair.bound or pair.turns == 0.0:
            return f"{pair.one} less {pair.other} is {apart}: {within}, as is common practice"
        return (
            f"{pair.one} less {pair.other} is {apart}: put {half_turns(pair.turns)} "
            f"turns more into {pair.longer}, let it rest and read it again"
        )
    chance = to.chance(pair.chance or 0.0)
    return f"the chance that they are {within} when first proved is {chance}"


def chance_said(chance: SetChance, to: Written, *, some_built: bool) -> str:
    """Say how surely all lines land.

    Parameters
    ----------
    chance : SetChance
        The chances.
    to : Written
        How quantities are written.
    some_built : bool
        Whether it is of some of the set's lines only, others being built already.

    Returns
    -------
    str
        A sentence, without a capital and without its stop.
    """
    left = " still to be built" if some_built else ""
    who = f"all lines{left} are" if len(chance.each) > 1 else f"the line{left} is"
    return (
        f"the chance that {who} within tolerance when first proved is {to.chance(chance.first)}; "
        f"once the turns are corrected at the proof, {to.chance(chance.after)}"
    )


def shared_said(chance: SetChance, to: Written) -> str:
    """Say what makes the lines land or miss together.

    Parameters
    ----------
    chance : SetChance
        The chances.
    to : Written
        How quantities are written.

    Returns
    -------
    str
        A sentence, without a capital and without its stop; empty where they share nothing.
    """
    if not chance.shared:
        return ""
    said = f"what they share makes them right or wrong together: {_and(chance.shared)}"
    if to.chance(chance.alone) != to.chance(chance.first):
        said += f"; if they shared nothing it would be {to.chance(chance.alone)}"
    return said


def time_said(time: Estimate) -> str:
    """Write how long something takes.

    Parameters
    ----------
    time : Estimate
        How long [s]

    Returns
    -------
    str
        ``7.8 ± 2.4 h``; to five minutes below two hours.
    """
    hours = time.value >= 2.0 * _HOUR
    step, digits, unit = (_HOUR, 1, "h") if hours else (_MINUTE, 0, "min")
    value, half = (
        (seconds if hours else _COARSE * round(seconds / _COARSE)) / step
        for seconds in (time.value, time.u95)
    )
    apart = f" ± {half:.{digits}f}" if time.u > 0.0 else ""
    return f"{value:.{digits}f}{apart} {unit}"


def uncounted_said(titles: tuple[str, ...]) -> str:
    """Say which steps are not in the time.

    Parameters
    ----------
    titles : tuple of str
        Their titles.

    Returns
    -------
    str
        A clause; empty where all are counted.
    """
    return f"not counted, for nothing says how long it takes: {', '.join(titles)}" * bool(titles)


def where_said(heed: Heed, lines: int) -> str:
    """Say at which steps of which lines a caution stands.

    Parameters
    ----------
    heed : Heed
        The caution.
    lines : int
        Lines that are still to be built [-]

    Returns
    -------
    str
        A sentence without its stop.
    """
    groups: dict[tuple[str, ...], list[str]] = {}
    for act, jobs in heed.steps:
        groups.setdefault(jobs, []).append(act[:1].lower() + act[1:])
    said = (
        ", ".join(acts) + ("" if len(jobs) == lines else f" ({_and(jobs)})")
        for jobs, acts in groups.items()
    )
    return f"at: {'; '.join(said)}"


def source_said(row: Datum) -> str:
    """Say where a number comes from.

    Parameters
    ----------
    row : Datum
        The number, with its source.

    Returns
    -------
    str
        Kind and source in words.
    """
    kind = {"memory": "from memory", "practice": "common practice"}.get(row.kind, row.kind)
    return f"{kind}: {row.source}"


def _and(words: tuple[str, ...]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")
