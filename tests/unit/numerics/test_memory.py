"""Memory: what is asked for twice is worked out once, and never mixed up."""

from __future__ import annotations

import numpy as np

from strandwright.numerics.memory import Batch, Memory


def test_each_key_is_worked_out_once() -> None:
    """A result is worked out for each key, once, and given again."""
    asked: list[int] = []
    memory = Memory()

    def work(x: int) -> int:
        asked.append(x)
        return x * x

    found = [memory.once(("square", x), lambda x=x: work(x)) for x in (3, 4, 3, 3)]
    assert [9, 16, 9, 9] == found
    assert [3, 4] == asked


def test_it_does_not_grow_without_end() -> None:
    """Over thousands of keys, results stay right, whether remembered or not."""
    memory = Memory()
    found = [memory.once(n % 700, lambda n=n: float(n % 700)) for n in range(3000)]
    assert [float(n % 700) for n in range(3000)] == found


def test_batches_do_not_share() -> None:
    """Two batches of one shape remember apart from each other."""
    one, two = Batch({"x": np.array([1.0])}), Batch({"x": np.array([2.0])})
    doubled = [b.memory.once("double", lambda b=b: 2.0 * float(b["x"][0])) for b in (one, two)]
    assert [2.0, 4.0] == doubled
