"""The step after fitting: servings that are wound on the strung bow."""

from __future__ import annotations

from strandwright.planning.result import Step
from strandwright.planning.served_on_bow import CAUTION, brace_load, on_bow_lines
from strandwright.planning.steps.words import Words, make_step


def on_bow_steps(words: Words) -> list[Step]:
    """Word the servings that are wound on the bow.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        One step, to follow the fitting; none where all are made on the jig.
    """
    lines = on_bow_lines(words.plan)
    if not lines:
        return []
    load = brace_load(words.plan)
    return [
        make_step(
            "serve",
            "Serve on the bow",
            f"braced, about {words.written.force(load.value)}",
            *lines,
            caution=CAUTION,
            id="serve-on-bow",
        )
    ]
