"""Series: one value from each build, in the order in which they were built."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

#: One range between neighbours is the least that tells any scatter [-]
FEWEST = 2

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Series:
    """One value from each build, oldest first.

    Attributes
    ----------
    values : ndarray, shape (n,)
        What is watched, such as the error of the finished length [any unit].
    uncertainties : ndarray, shape (n,)
        Standard uncertainty of each value by itself, >= 0. What all values share, such as the
        scale of one tape, does not scatter and does not belong here [same unit].
    labels : tuple of str
        Name of each build.
    groups : mapping of str to tuple of str
        For each kind of group (bench, lot, builder) the name of each build's own.
    moments : ndarray or None
        When each was built, rising, shape (n,) [s]
    """

    values: Floats
    uncertainties: Floats
    labels: tuple[str, ...]
    groups: Mapping[str, tuple[str, ...]]
    moments: Floats | None

    def __len__(self) -> int:
        return len(self.values)

    @classmethod
    def of(
        cls,
        values: ArrayLike,
        *,
        uncertainties: ArrayLike = 0.0,
        labels: Sequence[str] = (),
        groups: Mapping[str, Sequence[str]] | None = None,
        moments: ArrayLike | None = None,
    ) -> Series:
        """Take values as they come; those with moments are put in the order of time.

        Parameters
        ----------
        values : array_like
            One for each build, shape (n,) with n >= 2 [any unit].
        uncertainties : array_like
            Standard uncertainty of each, or of all alike [same unit].
        labels : sequence of str
            Names of the builds; numbered from 1 where none are given.
        groups : mapping of str to sequence of str or None
            For each kind of group the name of each build's own.
        moments : array_like or None
            When each was built, shape (n,) [s]

        Returns
        -------
        Series
            Oldest first.

        Raises
        ------
        InputError
            If there are fewer than two values, one is not a number, or lists differ in length.
        """
        read = np.atleast_1d(np.asarray(values, dtype=np.float64))
        own = np.broadcast_to(np.asarray(uncertainties, dtype=np.float64), read.shape)
        names = tuple(labels) or tuple(str(i + 1) for i in range(len(read)))
        parted = {kind: tuple(of) for kind, of in (groups or {}).items()}
        when = None if moments is None else np.asarray(moments, dtype=np.float64)
        _check(read, own, {"labels": names, **parted}, when)
        order = np.arange(len(read)) if when is None else np.argsort(when, kind="stable")
        return cls(
            values=read[order],
            uncertainties=own[order],
            labels=tuple(names[i] for i in order),
            groups={kind: tuple(of[i] for i in order) for kind, of in parted.items()},
            moments=None if when is None else when[order],
        )


def _check(
    values: Floats, own: Floats, named: Mapping[str, Sequence[str]], when: Floats | None
) -> None:
    count = len(values)
    if values.ndim != 1 or count < FEWEST:
        raise InputError("values", values.tolist(), "must be two or more in a row", "add builds")
    if not np.isfinite(values).all():
        raise InputError("values", values.tolist(), "must all be numbers", "leave out the others")
    if not (np.isfinite(own).all() and (own >= 0.0).all()):
        raise InputError(
            "uncertainties", own.tolist(), "must be 0 or more", "give the +- of each reading"
        )
    for field, names in named.items():
        if len(names) != count:
            raise InputError(field, list(names), f"must be {count}", "name each build once")
    if when is not None and (when.shape != values.shape or not np.isfinite(when).all()):
        raise InputError("moments", when.tolist(), f"must be {count} numbers", "date each build")
