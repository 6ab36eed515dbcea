r"""Rail: what a crossbow's string touches of its rail and latch, from its centre outward.

The string lies across a rail of width w, straight at rest. Drawn, each half makes the angle
:math:`\beta` with the rail, and what of it lies over the rail is

.. math:: \frac{w/2}{\sin\beta},

longest at the latch, which holds the string inside that width::

        limb                      limb
          \        w/2            /
           \    |<-->|           /
            \___|____|__________/      at rest
               .      .
                 \  /     beta: half the string's angle
                  \/      latch
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.contact import Lane, Touch
from strandwright.bow.draw_cycle import DrawCycle

Floats = NDArray[np.float64]
#: What the technician calls it.
RAIL = "rail and latch"


def half_on_rail(cycle: DrawCycle, width: Floats) -> Floats:
    """Length of each half of the string that lies over the rail.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to the latch, both halves alike.
    width : ndarray, shape (bows,)
        Of the rail, > 0 [m]

    Returns
    -------
    ndarray, shape (bows, points)
        Along the string without load, from its centre [m].

    Notes
    -----
    The string is taken to run straight over the rail; on the latch itself it bends sharply, and
    that it is pressed into the rail or lifted by the latch's claw is left out.
    """
    bodies, nock = cycle.rig.paths.bodies, cycle.rig.bow.nock
    into = int(np.flatnonzero(bodies[:, 1] == nock)[0])
    # Draw runs along the rail, which is the frame's own x.
    over = 0.5 * width[:, None] / np.abs(np.sin(cycle.direction[:, :, into]))
    reach = int(cycle.rig.paths.of_path[into])
    return over / (1.0 + cycle.tension[:, :, reach] / cycle.rig.stiffness[:, reach, None])


def on_rail(lane: Lane, cycle: DrawCycle, width: Floats) -> Lane:
    """Add what the rail and the latch touch of a string.

    Parameters
    ----------
    lane : Lane
        What else is touched of it.
    cycle : DrawCycle
        From brace to the latch.
    width : ndarray, shape (bows,)
        Of the rail, > 0 [m]

    Returns
    -------
    Lane
        The same with one touch more, about the centre.
    """
    assert lane.nock is not None
    half = half_on_rail(cycle, width)
    most = half.max(axis=1)
    touch = Touch(
        lane.line,
        RAIL,
        False,
        lane.nock - half[:, 0],
        lane.nock + half[:, 0],
        lane.nock - most,
        lane.nock + most,
    )
    order = sorted((*lane.touches, touch), key=lambda one: float(np.mean(one.start)))
    return replace(lane, touches=tuple(order))
