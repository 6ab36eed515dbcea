"""The frame of a strip: where positions and thicknesses lie on the drawing."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.drawing.tokens import Palette


@dataclass(frozen=True)
class Frame:
    """Scales and colours of one strip.

    Attributes
    ----------
    width : float
        Of the whole drawing [px].
    margin : float
        Least distance of text from the drawing's sides [px].
    left, right : float
        Where the line's zero end and far end lie [px].
    scale : float
        Horizontal scale, true to length [px/m].
    thickness_scale : float
        Vertical scale of bodies [px/m].
    thickest : float
        Height of the thickest body [px].
    middle : float
        Height of the line's axis, downwards from the top [px].
    palette : Palette
        The theme.
    prefix : str
        Id prefix.
    aside : float
        Room beside the thickest body that the legs of a fork take on either side [px].
    """

    width: float
    margin: float
    left: float
    right: float
    scale: float
    thickness_scale: float
    thickest: float
    middle: float
    palette: Palette
    prefix: str
    aside: float = 0.0

    def x(self, position: float) -> float:
        """Place a position on the drawing.

        Parameters
        ----------
        position : float
            From the zero end [m].

        Returns
        -------
        float
            Across [px].
        """
        return self.left + position * self.scale

    def thickness(self, diameter: float) -> float:
        """Give the height a diameter is drawn with.

        Parameters
        ----------
        diameter : float
            True diameter [m].

        Returns
        -------
        float
            Height [px].
        """
        return diameter * self.thickness_scale

    @property
    def exaggeration(self) -> float:
        """How many times thicker than long things are drawn [-]."""
        return self.thickness_scale / self.scale
