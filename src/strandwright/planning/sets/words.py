"""Words of a set: what its order of winding, its pairs and its chances come to, in sentences."""

from __future__ import annotations

from strandwright.planning.advice import halves_text
from strandwright.planning.sets.result import BenchOrder, PairAnswer, SetChance
from strandwright.planning.written import Written


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
    said.append(
        f"after the first line the posts are set {_times(order.moves)}, "
        f"{to.length(order.travel)} of travel in all, and another spool goes onto the tool "
        f"{_times(order.spool_changes)}: about {to.duration(order.time)}"
    )
    less = order.worst_travel - order.travel
    if order.saves <= 0.0 and less <= 0.0:
        said.append("no other order costs more; the longest line goes first")
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
            f"{pair.one} less {pair.other} is {apart}: put {halves_text(pair.turns)} "
            f"turns more into {pair.longer}, let it rest and read it again"
        )
    chance = to.chance(pair.chance or 0.0)
    return f"chance to come out {within} at their first proofs: {chance}"


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
        A sentence or two, without a capital and without its last stop.
    """
    several = len(chance.each) > 1
    all_of_them = "all land" if several else "it lands"
    whose = "of the lines still to be built, " if several else "of the line still to be built, "
    said = f"{whose if some_built else ''}{all_of_them} at the first proof: "
    said += f"{to.chance(chance.first)}; corrected at the proof: {to.chance(chance.after)}"
    if chance.shared:
        said += f". What they share makes them land or miss together: {_and(chance.shared)}"
        if to.chance(chance.alone) != to.chance(chance.first):
            said += f"; by themselves it would be {to.chance(chance.alone)}"
    return said


def _and(words: tuple[str, ...]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _times(count: int) -> str:
    return {0: "no more", 1: "once", 2: "twice"}.get(count, f"{count} times")
