"""Caliper: how well a diameter over strands or thread is read."""

from __future__ import annotations

from strandwright.units import INCH

#: Standard uncertainty of a diameter over a bundle or a wrap by caliper; estimate [m]
CALIPER = 0.0015 * INCH
