"""The model of a laid-in line: bundles laid about each other, a loop laid in at either end.

It is not wound. The first loop is laid and hung on a peg, the bundles are pulled straight by
hand, and the second loop is laid so that it hangs on a peg so far away. From there on it is a
line like any other: bedding-in, creep, turns and servings are those of :mod:`~.model`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.model import LineModel
from strandwright.line.states import ClosedCase
from strandwright.line.unknowns import Unknowns
from strandwright.line.winding import WoundSkein

_STEPS = 12
_CLOSE = 1e-10


@dataclass(frozen=True)
class LaidInModel(LineModel):
    """The physics of one laid-in line: its *setting* is outside to outside of the laying pegs."""

    def _wound(self, q: Unknowns, setting: float | FloatArray) -> WoundSkein:
        """The line just laid in; what stands for a round is two bodies and two loops."""
        true = setting / (1.0 + q["tape_scale"]) + q["setting_error"]
        length = np.broadcast_to(true, q["stiffness"].shape)
        body = self._laid_body(q, length)
        zero, far = self.loop_naturals(q)
        still = np.zeros_like(body)
        return WoundSkein(2.0 * body + zero + far, still, self._by_hand(q), still, still)

    def _by_hand(self, q: Unknowns) -> FloatArray:
        """Pull of the hand on the whole line while the second loop is laid, shape (B,)."""
        return q["drag"] * self.line.strand_count

    def _laid_body(self, q: Unknowns, length: FloatArray) -> FloatArray:
        """Natural length of the body that lies between the pegs under the hand's pull.

        The bundles are straight then but for the turns that the ends were made with.
        """
        shares, case = self.layout.open_shares, self._laying(q, length)
        body = wanted = length - self._ends(q, case)
        for _ in range(_STEPS):
            spans, _ = self.stretched_kinds(q, [replace(case, naturals=body[:, None] * shares)])[0]
            per_natural = spans.length[:, self.layout.bare_kinds] @ shares
            new = wanted / per_natural
            change = np.abs(new - body).max()
            body = new
            if not change > _CLOSE:
                break
        return body

    def _laying(self, q: Unknowns, body: FloatArray) -> ClosedCase:
        """The line on its pegs with a natural length of the body, no turn in it yet."""
        pin = self.bench.loop_pin
        stage = replace(self.route.stage("bare"), zero_pin=pin, far_pin=pin)
        naturals = body[:, None] * self.layout.open_shares
        return ClosedCase(stage, self._by_hand(q), naturals, np.zeros_like(body))

    def _ends(self, q: Unknowns, case: ClosedCase) -> FloatArray:
        """Both loops on their pegs, from the outside of the peg to the throat, shape (B,)."""
        return self.throats(q, [case]).sum(axis=2)[:, 0]

    def setting_for(self, q: Unknowns, round_natural: FloatArray) -> FloatArray:
        """Guess the distance of the laying pegs that gives a line of some natural length.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        round_natural : ndarray
            Natural length of two bodies and two loops, shape (B,) [m]

        Returns
        -------
        ndarray
            Outside to outside of the pegs, shape (B,) [m]
        """
        zero, far = self.loop_naturals(q)
        body = 0.5 * (round_natural - zero - far)
        return body + self._ends(q, self._laying(q, body))
