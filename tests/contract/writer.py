"""A bench in a process of its own: appends events, saying each one that was acknowledged.

``python writer.py PLACE BUILD NAME COUNT [pairs]``; with ``pairs`` two events go in each batch.
"""

from __future__ import annotations

import sys

from kept_things import a_note

from strandwright.store.open import open_store


def say(text: str) -> None:
    """Tell the test, at once."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def main(place: str, build: str, name: str, count: str, pairs: str = "") -> None:
    """Append events one after the other until all are kept or somebody kills this process."""
    store = open_store(place)
    say("ready")
    for number in range(int(count)):
        batch = [a_note(f"{name} {number}")]
        if pairs:
            batch.append(a_note(f"{name} {number}, second"))
        store.append(build, batch)
        say(str(number))
    store.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
