"""By figure: how far a figure of the bow moves when one of its lines gets longer."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from strandwright.errors import InputError, InputErrors, SolveError, SpecError
from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import model_bow, reach_shares
from strandwright.planning.bow.touched import lane_of
from strandwright.planning.result import Plan

#: A lengthening that is small beside any bow [m]
_SMALL = 1e-3
#: A figure that moves less than this by its line does not tell of it [-]
_DEAF = 0.05
_FIELD = "figure-on.per_length"
_UNKNOWN = "must be told with what it does by the line's length: the bow cannot be worked out"


def figure_slope(plan: Plan, figure: str) -> tuple[float, float]:
    """Give the change of a figure by lengthening the plan's line, from the model of its bow.

    Parameters
    ----------
    plan : Plan
        The line.
    figure : str
        ``brace height`` or ``axle to axle``.

    Returns
    -------
    tuple of float
        The change by lengthening, below zero where the figure gets smaller, and its standard
        uncertainty over the bows that agree with what is known [-]

    Raises
    ------
    SpecError
        If the bow cannot be worked out, or the figure hardly moves with this line.
    """
    try:
        return _of_bow(_Held(plan), figure)
    except (InputErrors, SolveError) as error:
        raise _say_it(figure, "must be told: the bow cannot be worked out") from error
    except InputError as error:
        raise _say_it(
            figure, f"must be told: the bow cannot be worked out ({error.field})"
        ) from error


class _Held:
    """A plan that is known again by its identity."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    def __hash__(self) -> int:
        return hash(self.plan.id)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.plan.id == self.plan.id


@lru_cache(maxsize=64)
def _of_bow(held: _Held, figure: str) -> tuple[float, float]:
    plan = held.plan
    model = model_bow(question(plan.job, plan))
    line = lane_of(plan.job, model).line
    names = model.response.names
    name = figure.replace(" ", "_")
    if name not in names or (name == "axle_to_axle" and not model.family.strung.bow.wheels):
        raise _say_it(figure, "is no figure of this bow")
    share = reach_shares(model, {line: _SMALL})[0] / _SMALL
    each = np.nan_to_num(model.response.table())[:, names.index(name)] @ share
    mean, u = float(each.mean()), float(each.std(ddof=1))
    if abs(mean) < _DEAF:
        raise _say_it(figure, "hardly moves with this line, so it does not tell of its length")
    return mean, u


def _say_it(figure: str, rule: str) -> SpecError:
    return SpecError(
        _FIELD, figure, rule,
        "give per_length, read before and after a turn; or read the line's length",
    )  # fmt: skip
