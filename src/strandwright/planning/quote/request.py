"""The request: what an offer is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from strandwright.planning.estimate import Estimate
from strandwright.planning.quote.bill import Discount
from strandwright.planning.quote.pace import TimedBuild
from strandwright.planning.quote.prices import PriceOf
from strandwright.planning.result import Plan
from strandwright.planning.shop.outcome import Outcome
from strandwright.workshop.terms import Terms


@dataclass(frozen=True)
class QuoteRequest:
    """What an offer is made of.

    Attributes
    ----------
    id : str
        Of the quote: its order's number.
    plans : tuple of Plan
        The lines.
    terms : Terms
        The shop's.
    made_on : date
        The day.
    order : str
        Identity of its order; empty where there is none.
    customer, bow : str
        As they stand on the paper; left out, as the first job has them.
    price_of : callable or None
        Tells prices; None asks the terms.
    builds : tuple of TimedBuild
        The shop's builds, for the minutes of its work.
    outcomes : tuple of Outcome
        How its finished lines came out, for the risk.
    parts : mapping
        Small parts besides those of the jobs, with their count [-]
    fitting : Estimate or None
        Time to fit the lines to the bow; None where they are not fitted here [s]
    extras : tuple of (str, Decimal)
        Anything else that is charged, such as posting, with its amount.
    discount : Discount or None
        What is off.
    due : date or None
        When it is to be ready.
    """

    id: str
    plans: tuple[Plan, ...]
    terms: Terms
    made_on: date
    order: str = ""
    customer: str = ""
    bow: str = ""
    price_of: PriceOf | None = None
    builds: tuple[TimedBuild, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    parts: Mapping[str, int] = field(default_factory=dict[str, int])
    fitting: Estimate | None = None
    extras: tuple[tuple[str, Decimal], ...] = ()
    discount: Discount | None = None
    due: date | None = None
