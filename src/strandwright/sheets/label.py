"""The label: a small sticker for a bow that was brought, with the order's number to read out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from strandwright.errors import LimitError
from strandwright.sheets.data import qr_code
from strandwright.sheets.prose import words
from strandwright.sheets.records import count, identifier
from strandwright.sheets.render import render_template
from strandwright.workshop.customer import Customer
from strandwright.workshop.order_state import OrderState, order_number
from strandwright.workshop.terms import Terms

#: Template that new labels are printed by.
TEMPLATE = "label_1"


@dataclass(frozen=True)
class LabelSize:
    """How large a label is.

    Attributes
    ----------
    width : float
        Along the text [m]
    height : float
        Across it [m]
    """

    width: float = 0.062
    height: float = 0.029


def label_size(terms: Terms) -> LabelSize:
    """Give the size of the labels a shop sticks on bows.

    Parameters
    ----------
    terms : Terms
        On what it works.

    Returns
    -------
    LabelSize
        62 by 29 mm where it does not say.
    """
    usual = LabelSize()
    return LabelSize(
        usual.width if terms.label_width is None else terms.label_width.si,
        usual.height if terms.label_height is None else terms.label_height.si,
    )


#: The smallest label on which the code is still read by a telephone, and the largest [m]
SMALLEST = LabelSize(0.040, 0.020)
LARGEST = LabelSize(0.210, 0.150)


def label_data(
    id: str, state: OrderState, customer: Customer | None, size: LabelSize | None = None
) -> dict[str, Any]:
    """Gather everything that is printed on the label of an order.

    Parameters
    ----------
    id : str
        Identity of the order.
    state : OrderState
        How it stands.
    customer : Customer or None
        Whose it is; None leaves the name out.
    size : LabelSize or None
        How large the label is; None for 62 by 29 mm.

    Returns
    -------
    dict
        JSON-ready; ``template`` names the template.

    Raises
    ------
    LimitError
        If the label would be too small to be read, or no label any more.
    """
    size = size or LabelSize()
    _refuse_odd(size)
    number = order_number(id)
    opened, bow = state.opened, state.bow
    return {
        "template": TEMPLATE,
        "width_mm": round(1e3 * size.width, 3),
        "height_mm": round(1e3 * size.height, 3),
        "number": identifier(number),
        "customer": words("" if customer is None else customer.name),
        "bow": words("" if bow is None else bow.name or bow.kind),
        "kind": "" if bow is None or not bow.name else bow.kind,
        "lines": count(1 if opened is None else opened.lines, "line"),
        "wished_by": identifier((opened.wished_by if opened else None) or ""),
        "opened": identifier(state.opened_at[:10]),
        "qr": qr_code(f"strandwright order {number}"),
    }


def _refuse_odd(size: LabelSize) -> None:
    """Refuse a size on which nothing can be read, or that no label has."""
    for name in ("width", "height"):
        given, least, most = (getattr(one, name) for one in (size, SMALLEST, LARGEST))
        if not (math.isfinite(given) and least <= given <= most):
            rule = f"must be {1e3 * least:.0f} mm to {1e3 * most:.0f} mm"
            remedy = "measure the label, without the paper it sticks on"
            raise LimitError(f"label_{name}", f"{1e3 * given:.4g} mm", rule, remedy)


def render_label(data: dict[str, Any]) -> bytes:
    """Print a label from its data.

    Parameters
    ----------
    data : dict
        As :func:`label_data` gave it.

    Returns
    -------
    bytes
        A PDF of one page of the label's size, the same bytes for the same data.

    Raises
    ------
    SheetError
        If the data's template is not known, or the page cannot be set.
    """
    return render_template(data)
