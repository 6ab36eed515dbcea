"""Entered: what somebody adds to a price by hand, read from what they typed."""

from __future__ import annotations

from strandwright.errors import SpecError
from strandwright.planning.estimate import Estimate
from strandwright.planning.quote.bill import Discount
from strandwright.planning.quote.labour import fitting_time
from strandwright.units import Dimension, parse
from strandwright.workshop.money import amount, percent
from strandwright.workshop.quote_entries import QuoteEntries
from strandwright.workshop.terms import Terms

#: Typed for the time that practice says
USUAL = "usual"


def fitting_of(text: str, bow_kind: str, field: str) -> Estimate | None:
    """Read how long lines take to fit.

    Parameters
    ----------
    text : str
        A time, ``usual`` for what practice says, or nothing.
    bow_kind : str
        Kind of bow.
    field : str
        What to call it in an error.

    Returns
    -------
    Estimate or None
        None where they are not fitted here [s]

    Raises
    ------
    InputError
        If it is no time.
    """
    if not text.strip():
        return None
    if text.strip() == USUAL:
        return fitting_time(bow_kind)
    entered = parse(Dimension.DURATION, text, field=field)
    return Estimate(entered.si, entered.standard_uncertainty or 0.0, "s")


def discount_of(text: str, field: str) -> Discount | None:
    """Read what is off.

    Parameters
    ----------
    text : str
        A share such as ``5 %``, an amount, or nothing.
    field : str
        What to call it in an error.

    Returns
    -------
    Discount or None
        None where nothing is off.

    Raises
    ------
    SpecError
        If it is neither.
    """
    if not text.strip():
        return None
    if "%" in text:
        return Discount(share=percent(text, field))
    return Discount(amount=amount(text, field))


def parts_of(entries: QuoteEntries) -> dict[str, int]:
    """Add up the small parts that were typed.

    Parameters
    ----------
    entries : QuoteEntries
        What was typed.

    Returns
    -------
    dict of str to int
        How many of each name [-]
    """
    found: dict[str, int] = {}
    for part in entries.parts:
        name = part.name.strip()
        found[name] = found.get(name, 0) + part.count
    return found


def with_taxes(terms: Terms, names: tuple[str, ...] | None) -> Terms:
    """Leave in terms the taxes that are on a quote.

    Parameters
    ----------
    terms : Terms
        The shop's.
    names : tuple of str or None
        Names of those that are on it; None leaves all.

    Returns
    -------
    Terms
        The terms.

    Raises
    ------
    SpecError
        If a tax is named that the shop has not.
    """
    if names is None:
        return terms
    known = [tax.name for tax in terms.taxes]
    stranger = next((name for name in names if name not in known), None)
    if stranger is not None:
        rule = "must be a tax of the shop's terms"
        remedy = f"choose among {', '.join(known)}" if known else "say the tax in the terms first"
        raise SpecError("entries.taxes", stranger, rule, remedy)
    return terms.model_copy(update={"taxes": tuple(t for t in terms.taxes if t.name in names)})
