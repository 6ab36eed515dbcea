"""Yokes: what a plan says of the fork at the far end of a cable."""

from strandwright.planning.yoke.matched import legs_matched
from strandwright.planning.yoke.of_plan import yoke_of
from strandwright.planning.yoke.refusals import refuse_unmeant_legs

__all__ = ["legs_matched", "refuse_unmeant_legs", "yoke_of"]
