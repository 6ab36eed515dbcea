"""Strength kept by twist: what the helix leaves of a bundle's break load."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import StrandSet, breaking_load
from strandwright.line.model import LineModel
from strandwright.line.states import StageState
from strandwright.line.unknowns import Unknowns


def twist_factor(rate: FloatArray, radius: FloatArray, strands: StrandSet) -> FloatArray:
    """Break load of a twisted bundle over that of the same bundle untwisted.

    Parameters
    ----------
    rate : ndarray
        Turns over twisted length, shape (B,) [turn/m]
    radius : ndarray
        Outside radius of the bundle, shape (B,) [m]
    strands : StrandSet
        The strands, arrays of shape (B,).

    Returns
    -------
    ndarray
        Shape (B,) [-]
    """
    whole = breaking_load(np.zeros_like(rate), radius, strands)
    return breaking_load(rate, radius, strands) / whole


def twist_kept(model: LineModel, q: Unknowns, rate: FloatArray) -> FloatArray:
    """Factor for twist of a line's bare bundle at a twist rate.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    rate : ndarray
        Turns over twisted length, shape (B,) [turn/m]

    Returns
    -------
    ndarray
        Shape (B,) [-]
    """
    strands = model.strand_set(q)
    one = replace(
        strands,
        stiffness=strands.stiffness[:, 0],
        softening=strands.softening[:, 0],
        share=strands.share[:, 0],
    )
    return twist_factor(rate, model.twist_radius(q), one)


def twist_efficiency(model: LineModel, q: Unknowns, finished: StageState) -> FloatArray:
    """Factor for twist of the finished line, at the twist of its bare spans.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    finished : StageState
        The finished line.

    Returns
    -------
    ndarray
        Shape (B,) [-]
    """
    assert finished.spans is not None
    return twist_kept(model, q, finished.turn_rates[:, 0] / finished.spans.length[:, 0])
