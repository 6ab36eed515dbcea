"""A strand of the user's own: what is stated stands, the rest scales with its mass."""

from __future__ import annotations

import pytest

from sample_job import LBF, job_of
from strandwright.errors import SpecError
from strandwright.planning.strand_stock import FAMILY_ROW, WAX_SHARE, find_strand, known_strand
from strandwright.reference import strand, strands
from strandwright.workshop.parts import OwnStrand


def own(**numbers):
    """Give an own strand with these numbers, as text."""
    return OwnStrand.model_validate({"name": "grey spool", "fibre": "hmpe"} | numbers)


@pytest.mark.parametrize("name", sorted(strands()))
def test_every_strand_of_the_table_is_found(name):
    """A name of the table gives its numbers unchanged."""
    known, row = find_strand(name), strand(name)
    assert known.stock.linear_density == row.linear_density.value
    assert known.stock.break_load == row.break_load.value
    assert known.datum("stiffness") is row.stiffness


def test_an_unknown_strand_names_its_field():
    """A strand nobody knows is refused at makeup.strand."""
    with pytest.raises(SpecError) as caught:
        known_strand(job_of(changes={"makeup.strand": "hmpee"}))
    assert caught.value.field == "makeup.strand"
    assert "hmpe" in caught.value.remedy


@pytest.mark.parametrize("fibre", sorted(FAMILY_ROW))
def test_an_own_strand_without_numbers_is_its_family(fibre):
    """Where nothing is stated, the family's row stands."""
    known = find_strand("grey spool", own(fibre=fibre))
    family = find_strand(FAMILY_ROW[fibre])
    for name in ("linear_density", "break_load", "break_strain", "stiffness", "packing"):
        assert known.datum(name).value == family.datum(name).value


def test_weighing_takes_the_wax_off():
    """Mass over length, less the share that is wax."""
    known = find_strand("grey spool", own(weighed_length="20 m", weighed_mass="4.32 g"))
    assert known.stock.linear_density == pytest.approx(4.32e-3 / 20.0 / (1.0 + WAX_SHARE))


def test_what_is_not_stated_scales_with_the_mass():
    """Twice the mass per length holds twice the load and is twice as stiff."""
    base = strand("hmpe")
    double = 2.0 * base.linear_density.value
    known = find_strand("grey spool", own(linear_density=f"{1e3 * double:.9f} g/m"))
    assert known.stock.break_load == pytest.approx(2.0 * base.break_load.value)
    assert known.datum("stiffness").value == pytest.approx(2.0 * base.stiffness.value)
    assert known.datum("stiffness").relative_uncertainty == pytest.approx(
        base.stiffness.relative_uncertainty
    )
    assert known.stock.break_strain == base.break_strain.value


def test_stated_numbers_stand():
    """Label figures are taken as they are and say where they come from."""
    known = find_strand(
        "grey spool", own(break_load="120 lbf", break_strain="3.4 %", stiffness="20 kN")
    )
    assert known.stock.break_load == pytest.approx(120.0 * LBF)
    assert known.stock.break_strain == pytest.approx(0.034)
    assert known.datum("stiffness").value == pytest.approx(20e3)
    assert known.datum("break_load").kind == "measured"
    assert known.datum("break_load").source == "spool label"


@pytest.mark.parametrize("half", [{"weighed_length": "20 m"}, {"weighed_mass": "4 g"}])
def test_half_a_weighing_is_refused(half):
    """A length without its mass, or the other way round, tells nothing."""
    with pytest.raises(SpecError, match="needs both"):
        find_strand("grey spool", own(**half))
