"""Routes of the register: which lines on bows are looked at again, when and why."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from fastapi import APIRouter

from strandwright.planning.desk.builds import Desk
from strandwright.planning.ports import PAGE
from strandwright.planning.register.data import look_again_data
from strandwright.planning.register.forecasts import Forecasts
from strandwright.web.bodies import LimitQuery, WordsQuery
from strandwright.web.errors import RESPONSES

Fields = dict[str, Any]
#: An answer waits no longer than this for forecasts; those left are told the next time [s]
_PATIENCE = 0.6


def register_routes(desk: Desk) -> APIRouter:
    """Make the routes of the register.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["register"], responses=RESPONSES)
    forecasts = Forecasts(desk)

    @routes.get("/look-again")
    def look_again(words: WordsQuery = "", limit: LimitQuery = PAGE) -> Fields:
        """Lines on bows: which are due to be looked at, which soon, which later, and why."""
        now = datetime.fromisoformat(desk.now())
        return look_again_data(forecasts, now, words, limit, _PATIENCE)

    _ = look_again
    return routes
