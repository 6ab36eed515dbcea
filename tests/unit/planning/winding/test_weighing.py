"""Weighing the spools: what a missing strand needs to show."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from strandwright.planning.winding.weighing import SURE, Weighing

shares = st.floats(0.01, 0.99)
counts = st.integers(2, 60)


def scale(share: float, relative: float = 0.06) -> Weighing:
    """Give a scale whose own 95 % half-range is this share of a strand of 0.3 g."""
    return Weighing(3e-4, 1.5, relative, share * 3e-4 * math.sqrt(6.0) / SURE)


@given(share=shares, strands=counts)
def test_lengths_weighed_first_just_do(share, strands):
    """So many lengths tell a missing strand of a colour, and one length fewer does not."""
    weighing = scale(share)

    def told(lengths: int) -> bool:
        return weighing.finds(weighing.change_u * math.hypot(1.0, strands / lengths))

    first = weighing.lengths_first(strands)
    if first is None:
        assert not told(strands - 1)
        return
    assume(abs(share * math.hypot(1.0, strands / first) - 1.0) > 1e-9)
    assert told(first)
    # Where one fewer stands exactly at the limit, the last digit may fall either way.
    if first > 1 and abs(share * math.hypot(1.0, strands / (first - 1)) - 1.0) > 1e-9:
        assert not told(first - 1)


@given(share=shares, strands=counts)
def test_a_finer_scale_needs_no_more_lengths(share, strands):
    """Half the step never asks for more weighed lengths."""
    coarse, fine = (scale(s).lengths_first(strands) for s in (share, 0.5 * share))
    if coarse is not None:
        assert fine is not None
        assert fine <= coarse


@given(share=shares, relative=st.floats(0.0, 0.2), strands=counts)
def test_one_spool_is_limited_by_scale_and_strand(share, relative, strands):
    """A strand shows when scale and mass per length together leave less than one in doubt."""
    weighing = scale(share, relative)
    mass = strands * weighing.strand_mass
    doubt = math.hypot(share, SURE * relative * strands)
    assume(abs(doubt - 1.0) > 1e-9)
    assert weighing.finds(weighing.loss_u(mass)) is (doubt < 1.0)
    assert weighing.loss_u(0.0) == pytest.approx(weighing.change_u)
