"""Built-in values: a datum with its source, and the strand, thread and fibre made of data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["published", "measured", "practice", "memory"]
Chemistry = Literal["polyester", "hmpe", "hmpe-lcp", "aramid"]


@dataclass(frozen=True, slots=True)
class Datum:
    """One number with everything needed to judge it.

    ``float(datum)`` is its value.

    Attributes
    ----------
    value : float
        The value [unit].
    standard_uncertainty : float
        Standard uncertainty, >= 0; 0 marks a definition or a decision [unit].
    unit : str
        SI unit of value, uncertainty and range; ``1`` for a pure number.
    kind : {"published", "measured", "practice", "memory"}
        Read in a source; measured by us or by the shop; common practice reported on how-to
        and trade pages; or general knowledge nobody has confirmed.
    source : str
        Where it comes from, in words.
    note : str
        What to know before using it; may be empty.
    low, high : float or None
        Range met with, where one is known; not a limit [unit].
    """

    value: float
    standard_uncertainty: float
    unit: str
    kind: Kind
    source: str
    note: str = ""
    low: float | None = None
    high: float | None = None

    def __float__(self) -> float:
        """Give the value [SI]."""
        return self.value

    @property
    def relative_uncertainty(self) -> float:
        """Standard uncertainty over the value's size [-]; infinite for an uncertain zero.

        For a positive quantity carried as a logarithm this is its standard deviation.
        """
        if self.standard_uncertainty == 0.0:
            return 0.0
        return self.standard_uncertainty / abs(self.value) if self.value else float("inf")


@dataclass(frozen=True, slots=True)
class SteadyCreep:
    """Plateau creep of a fibre: one thermally activated (Eyring) process.

    rate(T, s) = rate * exp(-Q/R (1/T - 1/T0)) * sinh(s V/kT) / sinh(s0 V/kT0)

    Attributes
    ----------
    rate : Datum
        Strain rate at the reference stress and temperature, > 0 [1/s].
    stress : Datum
        Reference stress s0 on the fibre's own area, > 0 [Pa].
    temperature : Datum
        Reference temperature T0 [K].
    activation_energy : Datum
        Q, > 0 [J/mol].
    activation_volume : Datum
        V, > 0 [m3].
    """

    rate: Datum
    stress: Datum
    temperature: Datum
    activation_energy: Datum
    activation_volume: Datum


@dataclass(frozen=True, slots=True)
class Strand:
    """One strand as sold on a spool.

    Attributes
    ----------
    id : str
        Key in the table.
    name : str
        Name to show.
    fibre : {"polyester", "hmpe", "hmpe-lcp", "aramid"}
        Chemistry.
    linear_density : Datum
        Mass per length of the fibre, no wax counted, > 0 [kg/m].
    break_load : Datum
        Load at break, > 0 [N].
    break_strain : Datum
        Strain at break, > 0 [-].
    stiffness : Datum
        EA, the secant to break, > 0 [N].
    diameter : Datum
        As sold, > 0 [m].
    density : Datum
        Of the fibre, > 0 [kg/m3].
    expansion : Datum
        Along the strand at constant load, of either sign [1/K].
    packing, served_packing : Datum
        Fibre's share of the area of a bundle at the measuring load: bare, and under a serving;
        in (0, 1) [-].
    softening : Datum
        Slope of the load-strain curve at zero over the secant to break, >= 1 [-].
    bedding_strain : Datum
        One-time elongation at 12.5 lbf on each strand, positive when the line lengthens [-].
    bedding_load : Datum
        Load on one strand over which bedding-in grows to 1 - 1/e of its limit, > 0 [N].
    bedding_reopened : Datum
        Share of bedding-in made available again by twist added after a stretch, in [0, 1] [-].
    delayed_recovery : Datum
        Share of elastic stretch that returns over minutes to hours, in [0, 1] [-].
    creep_per_decade : Datum
        Strain per tenfold time per unit of load over break load, at 20 degC [-].
    friction, thread_friction : Datum
        Coefficient strand on strand, and strand on serving thread, > 0 [-].
    strength_variation : Datum
        Strand-to-strand coefficient of variation of break load [-].
    steady_creep : SteadyCreep or None
        Plateau creep; None where it is negligible or there are no data.
    """

    id: str
    name: str
    fibre: Chemistry
    linear_density: Datum
    break_load: Datum
    break_strain: Datum
    stiffness: Datum
    diameter: Datum
    density: Datum
    expansion: Datum
    packing: Datum
    served_packing: Datum
    softening: Datum
    bedding_strain: Datum
    bedding_load: Datum
    bedding_reopened: Datum
    delayed_recovery: Datum
    creep_per_decade: Datum
    friction: Datum
    thread_friction: Datum
    strength_variation: Datum
    steady_creep: SteadyCreep | None = None


@dataclass(frozen=True, slots=True)
class Thread:
    """One serving thread.

    Attributes
    ----------
    id : str
        Key in the table.
    name : str
        Name to show.
    material : str
        Chemistry, e.g. ``HMPE``, ``nylon``.
    construction : str
        ``braided``, ``twisted`` or ``monofilament``.
    use : tuple of str
        Where it is used: ``end``, ``centre``, ``crossbow``, ``loop``.
    diameter : Datum
        Nominal, > 0 [m].
    flattening : Datum
        Thickness under drag over nominal diameter, in (0, 1] [-].
    linear_density : Datum
        Mass per length of thread, > 0 [kg/m].
    stiffness : Datum
        Axial, E_t A_t, > 0 [N].
    friction : Datum
        Coefficient thread on thread and on the core, > 0 [-].
    wrap_tension : Datum
        Tension in the thread while it is laid, > 0 [N].
    bobbin_length : Datum
        Thread on one serving-tool bobbin, > 0 [m].
    """

    id: str
    name: str
    material: str
    construction: str
    use: tuple[str, ...]
    diameter: Datum
    flattening: Datum
    linear_density: Datum
    stiffness: Datum
    friction: Datum
    wrap_tension: Datum
    bobbin_length: Datum


@dataclass(frozen=True, slots=True)
class Fibre:
    """A fibre as its maker's data sheet gives it; not what a strand reaches.

    Attributes
    ----------
    id : str
        Key in the table.
    name : str
        Name to show.
    density : Datum
        Mass per volume, > 0 [kg/m3].
    tenacity : Datum
        Break load over linear density, > 0 [N m/kg].
    modulus : Datum
        Stiffness over linear density, > 0 [N m/kg].
    break_strain : Datum
        Strain at break, > 0 [-].
    expansion : Datum or None
        Along the fibre, of either sign [1/K]; None where no value was found.
    """

    id: str
    name: str
    density: Datum
    tenacity: Datum
    modulus: Datum
    break_strain: Datum
    expansion: Datum | None = None
