"""Page: what a shop sees of its finished builds: charts, what they taught, which are doubted."""

from __future__ import annotations

from typing import Any

from strandwright.drawing.control import control_svg
from strandwright.planning.shop.charts import ShopChart, shop_charts
from strandwright.planning.shop.doubt import Named, ShopDoubts, shop_doubts
from strandwright.planning.shop.effects import LABELS, Effect, GroupEffects, group_effects
from strandwright.planning.shop.memory import ShopMemory
from strandwright.planning.written import Written

Fields = dict[str, Any]

THEMES = ("light", "dark", "sun", "print")
#: Three panels and a key want more height than two [px]
HEIGHT = 560.0


def shop_page(memory: ShopMemory, to: Written, *, width: float = 520.0) -> Fields:
    """Give everything that the page of the shop shows.

    Parameters
    ----------
    memory : ShopMemory
        What it has learned.
    to : Written
        How quantities are written.
    width : float
        Of a chart [px]

    Returns
    -------
    dict
        Builds, charts with their words, what was learned of each group, what is doubted and what
        was left out.
    """
    charts = shop_charts(memory.outcomes(), to)
    drawn = [_words(chart) | {"svg": _drawn(chart, width)} for chart in charts]
    return _told(memory, to, drawn)


def shop_words(memory: ShopMemory, to: Written) -> Fields:
    """Give what the page of the shop says, without its pictures.

    Parameters
    ----------
    memory : ShopMemory
        What it has learned.
    to : Written
        How quantities are written.

    Returns
    -------
    dict
        As :func:`shop_page`, its charts without ``svg``.
    """
    return _told(memory, to, [_words(chart) for chart in shop_charts(memory.outcomes(), to)])


def shop_svg(
    memory: ShopMemory, to: Written, name: str, theme: str, *, width: float = 800.0
) -> str | None:
    """Draw one measure over the builds.

    Parameters
    ----------
    memory : ShopMemory
        What it has learned.
    to : Written
        How quantities are written.
    name : str
        ``length``, ``turns``, ``mass`` or ``diameter``.
    theme : str
        One of :data:`THEMES`.
    width : float
        Of the chart [px]

    Returns
    -------
    str or None
        An SVG document; None where fewer than two builds have it, or all are alike.
    """
    for chart in shop_charts(memory.outcomes(), to, [name]):
        if chart.picture is not None:
            return control_svg(
                chart.picture, width=width, height=HEIGHT, theme=theme, prefix=f"{name}-{theme}"
            )
    return None


def _told(memory: ShopMemory, to: Written, charts: list[Fields]) -> Fields:
    doubts, builds = shop_doubts(memory), len(memory.outcomes())
    return {
        "builds": builds,
        "teaching": builds - len(doubts.left_out),
        "charts": charts,
        "groups": [_group(group, to) for group in group_effects(memory)],
        **_doubts(doubts),
    }


def _drawn(chart: ShopChart, width: float) -> Fields:
    """A chart in every theme."""
    name, picture = chart.measure.name, chart.picture
    if picture is None:
        return {}
    return {
        theme: control_svg(
            picture, width=width, height=HEIGHT, theme=theme, prefix=f"{name}-{theme}"
        )
        for theme in THEMES
    }


def _words(chart: ShopChart) -> Fields:
    """A chart in words, with the builds it is of."""
    return {
        "name": chart.measure.name,
        "title": chart.measure.subject.name,
        "headline": chart.headline,
        "sentences": list(chart.sentences),
        "points": [
            {"label": label, "build": o.build, "job": o.job, "at": o.at}
            for label, o in chart.points
        ],
    }


def _group(group: GroupEffects, to: Written) -> Fields:
    return {
        "level": group.level,
        "name": group.name,
        "builds": group.builds,
        "by_tables_of": group.job,
        "learned": [_effect(effect, to) for effect in group.effects],
        "next": group.next_line(to),
    }


def _effect(effect: Effect, to: Written) -> Fields:
    """An effect in words and numbers; the numbers in SI, a part or a rate as such."""
    ending = {"m": "_m", "N": "_n"}.get(effect.change.unit, "")
    return {
        "name": effect.name,
        "label": LABELS[effect.name],
        "text": effect.text(to),
        f"change{ending}": effect.change.value,
        f"change_plus_minus{ending}": effect.change.u95,
        f"tables_plus_minus{ending}": effect.tables.u95,
    }


def _doubts(doubts: ShopDoubts) -> Fields:
    return {
        "doubts": [_named(d.named) | {"chance": d.chance, "text": d.text} for d in doubts.doubted],
        "left_out": [
            _named(d.named) | {"because": d.because, "at": d.at, "text": d.text}
            for d in doubts.left_out
        ],
        "doubts_said": doubts.said,
    }


def _named(named: Named) -> Fields:
    return {"build": named.build, "job": named.job, "number": named.number, "name": named.words}
