"""The strands of the simulated world: what a spool is, not what anybody knows of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fibre:
    """A strand as sold: the middle of what spools of it are.

    Attributes
    ----------
    tex : float
        Mass over length [kg/m]
    density : float
        Density of the fibre [kg/m^3]
    stiffness : float
        Secant EA to break [N]
    stiffness_spread : float
        Relative spread of that over spools and of the slope at working load [-]
    break_load : float
        Breaking load [N]
    break_strain : float
        Strain at break [-]
    bend : float
        How much steeper than its secant the curve starts, middle [-]
    bedding : float
        Bedding-in at 12.5 lbf on a strand [-]
    creep : float
        Creep for one decade of time at the breaking load [-]
    expansion : float
        Thermal expansion [1/K]
    """

    tex: float
    density: float
    stiffness: float
    stiffness_spread: float
    break_load: float
    break_strain: float
    bend: float
    bedding: float
    creep: float
    expansion: float


FIBRES = {
    "polyester": Fibre(3.7e-4, 1380.0, 2118.0, 0.3, 180.0, 0.085, 0.2, 9.0e-3, 5.0e-3, 0.0),
    "hmpe": Fibre(1.76e-4, 975.0, 10966.0, 0.3, 318.0, 0.029, 0.0, 2.2e-3, 1.0e-3, -1.2e-5),
    "hmpe-lcp": Fibre(1.92e-4, 1075.0, 12360.0, 0.3, 309.0, 0.025, 0.0, 1.5e-3, 3.0e-4, -1.08e-5),
    "hmpe-lcp-thin": Fibre(
        1.6e-4, 1075.0, 10300.0, 0.35, 257.5, 0.025, 0.0, 1.5e-3, 3.0e-4, -1.08e-5
    ),
}
