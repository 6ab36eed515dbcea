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
    outcomes, doubts = memory.outcomes(), shop_doubts(memory)
    return {
        "builds": len(outcomes),
        "teaching": len(outcomes) - len(doubts.left_out),
        "charts": [_chart(chart, width) for chart in shop_charts(outcomes, to)],
        "groups": [_group(group, to) for group in group_effects(memory)],
        **_doubts(doubts),
    }


def _chart(chart: ShopChart, width: float) -> Fields:
    """A chart in words and pictures, with the builds it is of."""
    name, picture = chart.measure.name, chart.picture
    drawn = {} if picture is None else {
        theme: control_svg(
            picture, width=width, height=HEIGHT, theme=theme, prefix=f"{name}-{theme}"
        )
        for theme in THEMES
    }  # fmt: skip
    return {
        "name": name,
        "title": chart.measure.subject.name,
        "headline": chart.headline,
        "sentences": list(chart.sentences),
        "svg": drawn,
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
