"""Units: the one home of shop units, of reading what people type, and of writing it back.

Inside the package every value is an SI float. This package stands at the edge: :func:`parse`
reads ``57 1/4 in +- 1/32`` as exact fractions, the ``format_`` functions write values so
that they can be read again, and :func:`to_unit` and :func:`from_unit` convert.
A +- is always a 95 % half-range, twice the standard uncertainty.
"""

from strandwright.units.catalogue import (
    DEGREE,
    DENIER,
    DTEX,
    FOOT,
    FOOT_POUND,
    GRAIN,
    GRAIN_PER_INCH,
    GRAM_FORCE_PER_DENIER,
    INCH,
    KGF,
    LBF,
    LBF_PER_INCH,
    OUNCE,
    POUND,
    PSI,
    TEX,
    YARD,
    Dimension,
    degC,
    degF,
    from_unit,
    to_unit,
    units_of,
)
from strandwright.units.display import (
    System,
    format_estimate,
    format_length,
    format_length_decimal,
    format_plus_minus,
    format_quantity,
)
from strandwright.units.entry import Entered, parse
from strandwright.units.typography import plain_text

__all__ = [
    "DEGREE",
    "DENIER",
    "DTEX",
    "FOOT",
    "FOOT_POUND",
    "GRAIN",
    "GRAIN_PER_INCH",
    "GRAM_FORCE_PER_DENIER",
    "INCH",
    "KGF",
    "LBF",
    "LBF_PER_INCH",
    "OUNCE",
    "POUND",
    "PSI",
    "TEX",
    "YARD",
    "Dimension",
    "Entered",
    "System",
    "degC",
    "degF",
    "format_estimate",
    "format_length",
    "format_length_decimal",
    "format_plus_minus",
    "format_quantity",
    "from_unit",
    "parse",
    "plain_text",
    "to_unit",
    "units_of",
]
