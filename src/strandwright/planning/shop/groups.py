"""Groups: which bench, fibre, lot and builder a build belongs to."""

from __future__ import annotations

import hashlib

from strandwright.planning.strand_stock import known_strand
from strandwright.workshop.job import Job

#: What a bench says of itself that changes what its readings mean: changed, it is another bench
_BENCH = ("name", "zero_post", "far_post", "loop_pin", "post_stiffness", "drag", "layers", "gauge",
          "gauge_uncertainty", "tape", "beam")  # fmt: skip
Groups = dict[str, str]
#: What a family of fibres is called
FAMILIES = {
    "polyester": "polyester", "hmpe": "HMPE", "hmpe-lcp": "HMPE/LCP blend", "aramid": "aramid"
}  # fmt: skip


def groups_of(job: Job) -> Groups:
    """Give the groups that a job's line is built in.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    dict of str to str
        Key by level; a lot or a builder that nobody named is left out.
    """
    bench = job.bench.model_dump(mode="json", include=set(_BENCH), exclude_defaults=True)
    own = job.makeup.own_strand
    strand = job.makeup.strand
    if own is not None and own.name == strand:
        strand = f"{strand} {_digest(own.model_dump_json(exclude_defaults=True))}"
    found = {
        "shop": "shop",
        "bench": f"{job.bench.name} {_digest(repr(sorted(bench.items())))}",
        "family": FAMILIES[known_strand(job).stock.fibre],
        "fibre": strand,
    }
    if job.makeup.lot.strip():
        found["lot"] = f"{job.makeup.strand}, lot {job.makeup.lot.strip()}"
    if job.builder.strip():
        found["builder"] = job.builder.strip()
    return found


def name_of(level: str, key: str) -> str:
    """Give what a group is called where people read it.

    Parameters
    ----------
    level, key : str
        The group.

    Returns
    -------
    str
        Its name without what tells it from others of that name.
    """
    if level == "bench":
        return key.rpartition(" ")[0]
    return "the whole shop" if level == "shop" else key


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:6]
