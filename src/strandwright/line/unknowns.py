"""The unknowns of the model, and what is worked out from them once."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from typing import TypeVar

from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.memory import Batch

Result = TypeVar("Result")

Unknowns = Mapping[str, FloatArray]

#: Every unknown of the model: name, unit, plain words.
UNKNOWNS: tuple[tuple[str, str, str], ...] = (
    ("stiffness", "N", "strand stiffness"),
    ("softening", "-", "softening of the strand"),
    ("packing", "-", "how densely the bare bundle packs"),
    ("squeeze", "-", "squeeze of the bundle under a serving"),
    ("share", "-", "how far strands share the load"),
    ("bedding", "-", "bedding-in"),
    ("bedding_scale", "N", "load over which bedding-in saturates"),
    ("reopening", "-", "bedding-in that new twist opens again"),
    ("recovery", "-", "delayed recovery after the stretch"),
    ("creep", "-", "creep during the stretch"),
    ("drag", "N", "winding drag"),
    ("post_stiffness", "N/m", "give of the posts"),
    ("layers", "-", "layers on the posts"),
    ("setting_error", "m", "setting of the posts"),
    ("tape_scale", "-", "scale of the tape"),
    ("gauge", "-", "load gauge"),
    ("warmth", "K", "temperature"),
    ("loop_error", "m", "loop perimeters"),
    ("leg", "-", "how flat a loop's leg lies on its pin"),
    ("grip", "-", "how servings hold turns back"),
    ("flattening", "-", "flattening of the serving thread"),
    ("wrap_tension", "-", "tension of the serving thread"),
    ("thread_stiffness", "-", "stiffness of the serving thread"),
    ("own_bare", "-", "what the bare skein has of its own"),
    ("own_half", "-", "what the line part way has of its own"),
    ("own_twisted", "-", "what the twisted line has of its own"),
    ("own_proof", "-", "what the finished line has of its own"),
)

#: One more where a load was heard at a bench that has a gauge too: name, unit, plain words.
HEARD = ("heard", "-", "load heard in the pluck")

#: One more of a line of laid bundles: name, unit, plain words.
LAY = ("lay", "-", "how far out laid bundles keep their strands")


class Key:
    """Things that a result depends on, looked through once for all the results.

    Parameters
    ----------
    *parts : hashable
        The things.
    """

    def __init__(self, *parts: Hashable) -> None:
        self._parts = parts
        self._hash = hash(parts)

    def __hash__(self) -> int:
        """Give the hash of the parts."""
        return self._hash

    def __eq__(self, other: object) -> bool:
        """Whether the parts are the same."""
        return self is other or (isinstance(other, Key) and self._parts == other._parts)


def once(q: Unknowns, key: Hashable, work: Callable[[], Result]) -> Result:
    """Work out once for a batch what depends on nothing else; each time for a plain mapping.

    Parameters
    ----------
    q : mapping
        Unknowns, arrays of shape (B,).
    key : hashable
        Everything of line, bench and route that the result depends on.
    work : callable
        Works it out.

    Returns
    -------
    object
        The result; whoever gets it leaves it as it is.
    """
    return q.memory.once(key, work) if isinstance(q, Batch) else work()
