"""Remakes: how often lines come back, by cause, with the range that so few counts leave open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any, cast

from strandwright.planning.ports import Store
from strandwright.planning.shop.outcome import Outcome
from strandwright.statistics.rate import Rate, rate_of
from strandwright.workshop.listings.orders import REMADE

Fields = dict[str, Any]

#: Finished builds from which on a bench or a fibre is told of by itself [-]
ENOUGH = 20
_ALL = 100_000
_SAID = (
    "Each finished line counts once, however often it came back. Those that were finished lately "
    "have had little time to come back, so the true rate is higher rather than lower. The range "
    "is Wilson's 95 % score interval (J. Am. Stat. Assoc. 22, 1927, 209-212)."
)


def remakes_of(store: Store, outcomes: Iterable[Outcome]) -> Fields:
    """Give how often lines come back.

    Parameters
    ----------
    store : Store
        Where orders and builds are kept.
    outcomes : iterable of Outcome
        The latest builds with what they were built on and of.

    Returns
    -------
    dict
        ``builds`` that were finished, ``remade`` of them, by ``causes`` and by ``whose``, and
        ``groups``: benches and fibres with enough builds.
    """
    told = _told(store)
    builds = max(store.counts("build").get("done", 0), len(told))
    latest = {one.build: one for one in outcomes}
    return {
        "builds": builds,
        "rate": _rate(rate_of(len(told), builds)),
        "causes": [
            {"cause": cause, "whose": whose} | _rate(rate_of(count, builds))
            for (cause, whose), count in _counted((one["cause"], one["whose"]) for one in told)
        ],
        "whose": [
            {"whose": whose} | _rate(rate_of(count, builds))
            for whose, count in _counted(one["whose"] for one in told)
        ],
        "groups": [
            row
            for level in ("bench", "fibre")
            for row in _groups(level, latest, {one["build"] for one in told})
        ],
        "enough": ENOUGH,
        "said": _SAID,
    }


def _told(store: Store) -> list[Fields]:
    """Give the last that was said of each line that came back."""
    rows = store.listings("order", words=REMADE, limit=_ALL)
    found = [one for row in reversed(rows) for one in cast("list[Fields]", row.summary["remakes"])]
    return list({one["build"]: one for one in found}.values())


def _counted(names: Iterable[Any]) -> list[tuple[Any, int]]:
    return sorted(Counter(names).items(), key=lambda pair: (-pair[1], pair[0]))


def _groups(level: str, latest: dict[str, Outcome], remade: set[str]) -> list[Fields]:
    names = {build: str(getattr(one, level)) for build, one in latest.items()}
    sizes = Counter(name for name in names.values() if name)
    back = Counter(name for build, name in names.items() if name and build in remade)
    return [
        {"level": level, "name": name} | _rate(rate_of(back[name], size))
        for name, size in sorted(sizes.items())
        if size >= ENOUGH
    ]


def _rate(rate: Rate) -> Fields:
    text = f"{100.0 * rate.mean:.1f} % ({100.0 * rate.low:.1f} to {100.0 * rate.high:.1f} %)"
    return {"count": rate.count, "of": rate.of, "low": rate.low, "high": rate.high, "text": text}
