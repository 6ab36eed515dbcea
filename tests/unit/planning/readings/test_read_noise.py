"""How surely a length is read."""

from __future__ import annotations

import math

import pytest

from sample_job import INCH, LBF, RIDGE, job_of, prepared_of
from strandwright.planning.readings.noise import pull_scatter, read_noise, stretch_per_load
from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.units import Dimension, parse

LOOK = 0.007 * INCH


def length(text: str):
    """Read a length."""
    return parse(Dimension.LENGTH, text, field="length")


@pytest.mark.parametrize(
    ("reads", "text", "step"),
    [
        ("1/16 in", "57 1/2 in", 1 / 16),
        ("1/16 in", "57 3/32 in", 1 / 32),
        ("1/32 in", "57.63 in", 0.01),
        ("0.5 mm", "57 in", 0.5 / 25.4),
        (None, "57 1/2 in", 1 / 32),
    ],
)
def test_rounding_counts(reads: str | None, text: str, step: float) -> None:
    """A length is even over the step it was rounded to (JCGM 100:2008, F.2.2.1): s over root 12."""
    job = job_of(changes={"bench.tape_reads": reads})
    expected = math.hypot(LOOK, step * INCH / math.sqrt(12.0))
    assert reading_uncertainty(job, length(text)) == pytest.approx(expected, rel=1e-9)


def test_what_is_typed_counts_first() -> None:
    """A +- typed with the length is the reading's own."""
    job = job_of()
    assert reading_uncertainty(job, length("57 in +- 1/16")) == pytest.approx(INCH / 32.0)


def test_a_pull_without_gauge_scatters_the_length() -> None:
    """The load's scatter moves the length by stretch over load; a stated +- takes its place."""
    prepared = prepared_of(job_of(RIDGE, {"bench.gauge": "none"}))
    load = 100.0 * LBF
    pull = pull_scatter("none") * stretch_per_load(prepared, load)
    tape = math.hypot(reading_uncertainty(prepared.job), 0.006 * INCH)
    wandering_free = read_noise(prepared, load)
    assert wandering_free == pytest.approx(math.hypot(tape, pull), rel=1e-9)
    sure = parse(Dimension.FORCE, "100 lbf +- 0.001", field="load")
    assert read_noise(prepared, load, stated_load=sure) == pytest.approx(tape, rel=1e-4)
    assert read_noise(prepared, load, gauge="load cell") < wandering_free


def test_a_straight_line_stretches_by_its_stiffness() -> None:
    """Change of length over change of the load's logarithm is F L over EA, a little softer."""
    prepared = prepared_of(job_of(RIDGE))
    model, load = prepared.model, 100.0 * LBF
    stiffness = model.line.strand_count * prepared.parameters.value("stiffness")
    by_hand = load * model.line.length / stiffness
    assert stretch_per_load(prepared, load) == pytest.approx(by_hand, rel=0.25)


def test_turns_wander_only_where_they_went_in_under_servings() -> None:
    """Served first, a twisted line's length is less sure; twisted first, it is not."""
    first, last = (
        prepared_of(job_of(RIDGE, {"route.order": order}))
        for order in ("serve, then twist", "twist, stretch, then serve")
    )
    load = 100.0 * LBF
    assert read_noise(first, load, turns=30.0) > read_noise(first, load, turns=10.0)
    assert read_noise(last, load, turns=30.0) == read_noise(last, load)
