"""A loop of its own: coroutines run to their end whatever loop the test's thread has already."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")


def in_own_loop(coroutine: Coroutine[Any, Any, T]) -> T:
    """Run a coroutine in a thread of its own: a browser in this one may keep a loop running."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, coroutine).result()
