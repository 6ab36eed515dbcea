"""The three orders of work of a skein, from the stretch to the last servings."""

from __future__ import annotations

from collections.abc import Callable

from strandwright.line.route import Order
from strandwright.planning.result import Step
from strandwright.planning.steps.four_posts import closing_steps
from strandwright.planning.steps.line import (
    read_step,
    serve_step,
    settle_step,
    stretch_step,
    twist_step,
)
from strandwright.planning.steps.words import Words


def serve_then_twist(words: Words) -> list[Step]:
    """Lay out: loops and servings, then the twist.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        In their order.
    """
    loads = words.plan.loads
    return [
        stretch_step(words, "bare", "Stretch the bare skein", loads.stretch_dwell),
        read_step(words, "bare"),
        *closing_steps(words),
        serve_step(words),
        twist_step(words, half=True),
        settle_step(words, "Settle the turns that are in", "settle-part"),
        read_step(words, "half"),
        twist_step(words, half=False),
        settle_step(words, "Settle the twist", "settle"),
    ]


def twist_then_serve(words: Words) -> list[Step]:
    """Lay out: loops, twist, stretch, then servings.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        In their order.
    """
    return [
        read_step(words, "bare"),
        *closing_steps(words),
        twist_step(words, half=True),
        read_step(words, "half"),
        twist_step(words, half=False),
        stretch_step(words, "twisted", "Stretch the twisted line", words.plan.loads.stretch_dwell),
        read_step(words, "twisted"),
        serve_step(words),
    ]


def stretch_twist_serve(words: Words) -> list[Step]:
    """Lay out: stretch, loops, twist, stretch, then servings.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        In their order.
    """
    return [
        stretch_step(words, "bare", "Stretch the bare skein", words.plan.loads.stretch_dwell),
        read_step(words, "bare"),
        *closing_steps(words),
        twist_step(words, half=True),
        read_step(words, "half"),
        twist_step(words, half=False),
        stretch_step(words, "twisted", "Stretch the twisted line", words.plan.loads.second_dwell),
        read_step(words, "twisted"),
        serve_step(words),
    ]


#: The middle of each order
ORDERS: dict[Order, Callable[[Words], list[Step]]] = {
    Order.SERVE_THEN_TWIST: serve_then_twist,
    Order.TWIST_THEN_SERVE: twist_then_serve,
    Order.STRETCH_TWIST_SERVE: stretch_twist_serve,
}
