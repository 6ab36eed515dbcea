"""Memory: intermediate results that are asked for again and again, worked out once."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

#: Results that are remembered together; a line with every stage of its route has some fifty [-]
_MOST_KNOWN = 500

Result = TypeVar("Result")


class Memory:
    """What has been worked out from something that does not change, and from it alone."""

    def __init__(self) -> None:
        self._known: dict[Hashable, Any] = {}

    def once(self, key: Hashable, work: Callable[[], Result]) -> Result:
        """Give a result, worked out when it is asked for the first time.

        Parameters
        ----------
        key : hashable
            Everything else that the result depends on.
        work : callable
            Works it out.

        Returns
        -------
        object
            The result; whoever gets it leaves it as it is.
        """
        if key in self._known:
            return self._known[key]
        if len(self._known) >= _MOST_KNOWN:
            self._known.clear()
        return self._known.setdefault(key, work())


class Batch(dict[str, NDArray[np.float64]]):
    """Natural values of a batch by name, and what has been worked out from them alone.

    A model asks for the same intermediate results again and again, and while a line is dragged
    most of them stay as they were.

    Parameters
    ----------
    values : mapping
        By name, arrays of shape (B,) [unit of each]; they are not to be changed afterwards.

    Attributes
    ----------
    memory : Memory
        What has been worked out.
    """

    def __init__(self, values: Mapping[str, NDArray[np.float64]]) -> None:
        super().__init__(values)
        self.memory = Memory()
