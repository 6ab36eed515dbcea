"""The bow's baseline: what was measured on it before any press, as it goes on a record."""

from __future__ import annotations

from strandwright.planning.written import Written
from strandwright.units import Entered
from strandwright.workshop.job import Job

_LENGTHS = (
    ("axle_to_axle", "axle to axle"),
    ("bow_length", "bow length"),
    ("brace_height", "brace height"),
    ("draw_length", "draw length"),
    ("tiller_top", "tiller, top"),
    ("tiller_bottom", "tiller, bottom"),
    ("nock_height", "nock height"),
    ("peep_height", "peep height"),
)


def baseline(job: Job) -> tuple[tuple[str, str], ...]:
    """Give what the job holds of the bow before it was pressed.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of (str, str)
        Name and value of each, in the job's own units; only what was measured.
    """
    bow, written = job.bow, Written.on(job.paper)
    found: list[tuple[str, str]] = []
    if bow.draw_weight is not None:
        found.append(("draw weight", written.force(bow.draw_weight.si)))
    if bow.let_off is not None:
        found.append(("let-off", written.share(bow.let_off.si)))
    for name, label in _LENGTHS:
        entered: Entered | None = getattr(bow, name)
        if entered is not None:
            found.append((label, entered.text))
    found += [(label, text) for label, text in (("cam marks", bow.cam_marks), ("lean", bow.lean))
              if text]  # fmt: skip
    return tuple(found)
