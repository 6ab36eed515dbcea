"""A bench in a process of its own that promises length of one spool until none is free.

``python bench_of_stock.py PLACE SPOOL NAME METRES``; says ``ready``, waits for a line, then says
each promise that was kept.
"""

from __future__ import annotations

import sys

from stock_work import happening, identity
from strandwright.errors import LimitError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.stock.keeping import Promise, reserve
from strandwright.store.open import open_store


def main(place: str, spool: str, name: str, metres: str) -> None:
    """Promise, one order after the other, until one is refused."""
    store = open_store(place)
    desk = JobDesk(store)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    number = 0
    while True:
        order = identity(f"{name} {number}")
        event = happening("reserved", 1, name=f"{name} {number}", order=order, length=f"{metres} m")
        try:
            reserve(desk, [Promise(spool, event)])
        except LimitError:
            break
        sys.stdout.write(f"{order}\n")
        sys.stdout.flush()
        number += 1
    store.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
