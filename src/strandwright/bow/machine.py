"""Machine: whether bows are stepped along their draw in machine code, or in plain Python.

The code is the same, and so are its answers; Numba makes it a hundred times as fast. It is an
optional part of the installation and slow to begin with, so that it is switched on by whoever
knows that it has been made ready, before the first bow is drawn.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Callable
from typing import Any, TypeVar

Function = TypeVar("Function", bound=Callable[..., Any])

_STATE = {"on": False}


def is_on() -> bool:
    """Tell whether machine code is used.

    Returns
    -------
    bool
        False until it has been switched on.
    """
    return _STATE["on"]


def can_be_made() -> bool:
    """Tell whether Numba is installed.

    Returns
    -------
    bool
        Whether it can be switched on.
    """
    return importlib.util.find_spec("numba") is not None


def switch_on() -> bool:
    """Use machine code from now on; it is made at the first call unless it was kept before.

    Not while a bow is being drawn: the functions are put in place one after the other.

    Returns
    -------
    bool
        Whether it is used; not without Numba.
    """
    if not _STATE["on"] and can_be_made():
        _STATE["on"] = True
        _stepping()
    return _STATE["on"]


def switch_off() -> None:
    """Go back to plain Python."""
    if _STATE["on"]:
        _STATE["on"] = False
        _stepping()


def make() -> str | None:
    """Switch machine code on and make it, which takes half a minute if it was not kept.

    Returns
    -------
    str or None
        The folder it is kept in; None without Numba.
    """
    if not switch_on():
        return None
    stepping = importlib.import_module("strandwright.bow.stepping")
    stepping.drawn(*stepping.nothing())
    return str(stepping.drawn.stats.cache_path)


def compiled(function: Function) -> Function:
    """Make machine code of a function, if that is switched on.

    Parameters
    ----------
    function : callable
        On plain arrays and numbers.

    Returns
    -------
    callable
        The same, or its machine code.
    """
    return _made(function)


def inlined(function: Function) -> Function:
    """Make machine code that is laid into its callers, since arrays are costly to hand over.

    Parameters
    ----------
    function : callable
        On plain arrays and numbers.

    Returns
    -------
    callable
        The same, or its machine code.
    """
    return _made(function, forceinline=True)


def _made(function: Function, **how: bool) -> Function:
    if not _STATE["on"]:
        return function
    numba = importlib.import_module("numba")
    return numba.njit(cache=True, nogil=True, error_model="numpy", **how)(function)


def _stepping() -> None:
    # Each takes the one before it as it finds it.
    for name in ("looking", "settling", "stepping"):
        importlib.reload(importlib.import_module(f"strandwright.bow.{name}"))
