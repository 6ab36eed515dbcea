"""Builds of a line by chance: each with unknowns of its own, wound and marked as the plan says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from strandwright.line.build import Settings, build_finished, read_lengths
from strandwright.line.model import LineModel
from strandwright.numerics.parameters import ParameterVector

Floats = NDArray[np.float64]


class Builds(Protocol):
    """Something of which many can be built, read and turned."""

    def draw(self, stream: np.random.Generator, count: int) -> Any:
        """Draw builds.

        Parameters
        ----------
        stream : numpy.random.Generator
            Where chance comes from.
        count : int
            How many, B [-]

        Returns
        -------
        object
            The builds, to be handed back to the other two.
        """
        ...

    def read(self, drawn: Any, key: str, turns: Floats) -> Floats:
        """Give what a gauge and a tape without noise of their own would show in a state.

        Parameters
        ----------
        drawn : object
            The builds.
        key : str
            The state.
        turns : ndarray, shape (B,)
            Final turns of which the line has its share [turn]

        Returns
        -------
        ndarray, shape (B,)
            Lengths [m]
        """
        ...

    def finished(self, drawn: Any, turns: Floats) -> Floats:
        """Give the true finished lengths.

        Parameters
        ----------
        drawn : object
            The builds.
        turns : ndarray, shape (B,)
            Turns in the line [turn]

        Returns
        -------
        ndarray, shape (B,)
            Lengths [m]
        """
        ...


@dataclass(frozen=True, eq=False)
class LineBuilds:
    """Builds of one line by the model of the line.

    Attributes
    ----------
    model : LineModel
        The line, bench and route.
    settings : Settings
        Post setting and marks; every build has turns of its own.
    parameters : ParameterVector
        The unknowns.
    """

    model: LineModel
    settings: Settings
    parameters: ParameterVector

    def draw(self, stream: np.random.Generator, count: int) -> Any:
        """Draw the unknowns of builds.

        Parameters
        ----------
        stream : numpy.random.Generator
            Where chance comes from.
        count : int
            How many, B [-]

        Returns
        -------
        object
            Natural values by name, arrays of shape (B,).
        """
        factor = self.parameters.factor
        white = stream.standard_normal((count, factor.shape[1]))
        # Without BLAS, whose last bits may hang on how many threads it has.
        return self.parameters.natural(self.parameters.mean + np.einsum("br,pr->bp", white, factor))

    def read(self, drawn: Any, key: str, turns: Floats) -> Floats:
        """Give what is read in a state.

        Parameters
        ----------
        drawn : object
            The builds.
        key : str
            The state.
        turns : ndarray, shape (B,)
            Final turns of each [turn]

        Returns
        -------
        ndarray, shape (B,)
            Lengths [m]
        """
        return read_lengths(self.model, drawn, self.settings, [key], turns)[key]

    def finished(self, drawn: Any, turns: Floats) -> Floats:
        """Give the true finished lengths.

        Parameters
        ----------
        drawn : object
            The builds.
        turns : ndarray, shape (B,)
            Final turns of each [turn]

        Returns
        -------
        ndarray, shape (B,)
            Lengths [m]
        """
        return build_finished(self.model, drawn, self.settings, turns)[0].length
