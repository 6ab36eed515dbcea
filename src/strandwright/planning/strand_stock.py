"""The strand of a job: a row of the reference table, or the user's own from label or scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from strandwright.errors import SpecError
from strandwright.line.parts import StrandStock
from strandwright.reference import Datum, Strand, strand
from strandwright.workshop.job import Job
from strandwright.workshop.parts import OwnStrand
from strandwright.workshop.wares import WAX_SHARE, WAX_SPREAD

__all__ = [
    "DEFAULT_SCALE",
    "FAMILY_ROW",
    "WAX_SHARE",
    "WAX_SPREAD",
    "KnownStrand",
    "find_strand",
    "known_strand",
]

#: The row of the table whose behaviour a user's own strand of that fibre inherits.
FAMILY_ROW = {
    "polyester": "polyester",
    "hmpe": "hmpe",
    "hmpe-lcp": "hmpe-lcp",
    "aramid": "aramid",
}
#: Smallest step of a scale where the job names none: 0.1 g [kg]
DEFAULT_SCALE = 1.0e-4


@dataclass(frozen=True)
class KnownStrand:
    """A strand with the numbers the physics needs and the sources of all of them.

    Attributes
    ----------
    stock : StrandStock
        Fixed numbers in SI.
    row : Strand
        The data behind them.
    """

    stock: StrandStock
    row: Strand

    def datum(self, name: str) -> Datum:
        """Give one datum of the row.

        Parameters
        ----------
        name : str
            Attribute of :class:`strandwright.reference.Strand`.

        Returns
        -------
        Datum
            Value, uncertainty and source.
        """
        return getattr(self.row, name)


def known_strand(job: Job) -> KnownStrand:
    """Find the strand of a job.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    KnownStrand
        The strand.

    Raises
    ------
    SpecError
        If the name is not in the table and is not the user's own strand.
    """
    return find_strand(job.makeup.strand, job.makeup.own_strand)


def find_strand(name: str, own: OwnStrand | None = None) -> KnownStrand:
    """Find a strand by name, or make it from what its label or a scale says.

    Parameters
    ----------
    name : str
        Name in the reference table, or that of ``own``.
    own : OwnStrand or None
        The user's own strand.

    Returns
    -------
    KnownStrand
        The strand.

    Raises
    ------
    SpecError
        If the name is unknown, or the own strand's numbers do not suffice.
    """
    if own is not None and own.name == name:
        return _known(_own_row(own), own.name)
    return _of_table(name)


@lru_cache(maxsize=64)
def _of_table(name: str) -> KnownStrand:
    """Find a strand in the reference table."""
    try:
        row = strand(name)
    except SpecError as error:
        raise error.at("makeup.strand") from error
    return _known(row, name)


def _known(row: Strand, name: str) -> KnownStrand:
    stock = StrandStock(
        name=name,
        fibre=row.fibre,
        linear_density=row.linear_density.value,
        break_load=row.break_load.value,
        break_strain=row.break_strain.value,
        density=row.density.value,
        expansion=row.expansion.value,
        wax=WAX_SHARE,
        friction=row.friction.value,
    )
    return KnownStrand(stock, row)


def _stated(base: Datum, value: float, relative: float, source: str) -> Datum:
    return replace(
        base, value=value, standard_uncertainty=relative * value, kind="measured", source=source
    )


def _own_row(own: OwnStrand) -> Strand:
    """Fill a row: stated numbers over those of its family, scaled by mass per length."""
    base = strand(FAMILY_ROW[own.fibre])
    density = base.linear_density
    if own.weighed_length is not None and own.weighed_mass is not None:
        bare = own.weighed_mass.si / own.weighed_length.si / (1.0 + WAX_SHARE)
        density = _stated(density, bare, 0.04, "weighed length, wax allowed for")
    elif own.linear_density is not None:
        density = _stated(density, own.linear_density.si, 0.06, "spool label")
    elif own.weighed_length is not None or own.weighed_mass is not None:
        raise SpecError(
            "makeup.own_strand",
            own.name,
            "needs both weighed_length and weighed_mass",
            "weigh a measured length, or give linear_density",
        )
    scale = density.value / base.linear_density.value
    load = _scaled(base.break_load, scale)
    if own.break_load is not None:
        load = _stated(load, own.break_load.si, 0.1, "spool label")
    break_strain = base.break_strain
    if own.break_strain is not None:
        break_strain = _stated(break_strain, own.break_strain.si, 0.1, "spool label")
    stiffness = _scaled(base.stiffness, scale)
    if own.stiffness is not None:
        stiffness = _stated(stiffness, own.stiffness.si, 0.1, "stated")
    return replace(
        base,
        id=own.name,
        name=own.name,
        linear_density=density,
        break_load=load,
        break_strain=break_strain,
        stiffness=stiffness,
    )


def _scaled(datum: Datum, scale: float) -> Datum:
    return replace(
        datum,
        value=datum.value * scale,
        standard_uncertainty=datum.standard_uncertainty * scale,
        source=f"{datum.source}; scaled by mass per length",
    )
