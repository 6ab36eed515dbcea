"""A peer from the registries: Exudyn, a general program for bodies, ropes and beams in motion.

J. Gerstmayr, Exudyn - a C++-based Python package for flexible multibody systems, *Multibody
System Dynamics* 60 (2024) 533-561. Here it is asked for rest only. Its rope runs without friction
over sheaves; its beam is a cable element, cubic between nodes, that bends and stretches without
shear. What it makes of a bow is put together here from rigid bodies, hinges, springs, ropes and
beams of its own; only sizes come from this program.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from importlib import import_module
from typing import Any

import numpy as np

Floats = np.ndarray


class Peer:
    """One plane system of the peer's, made part by part."""

    def __init__(self, exudyn: Any) -> None:
        self.exudyn: Any = exudyn
        self.items: Any = import_module("exudyn.itemInterface")
        self._container = exudyn.SystemContainer()
        self.system = self._container.AddSystem()
        self.ground = self.system.AddObject(self.items.ObjectGround())
        fixed = self.system.AddNode(self.items.NodePointGround())
        self._still = self._coordinate(fixed, 0)

    # ------------------------------------------------------------------------------------- parts

    def body(self, x: float, y: float, angle: float) -> tuple[int, int]:
        """Give a rigid body and its node; masses are of no account at rest."""
        node = self.system.AddNode(self.items.NodeRigidBody2D(referenceCoordinates=[x, y, angle]))
        body = self.items.ObjectRigidBody2D(mass=1.0, inertia=1.0, nodeNumber=node)
        return self.system.AddObject(body), node

    def place(self, body: int, x: float = 0.0, y: float = 0.0) -> int:
        """Mark a place on a body, in its own axes."""
        marker = self.items.MarkerBodyRigid(bodyNumber=body, localPosition=[x, y, 0.0])
        return self.system.AddMarker(marker)

    def hold(self, node: int, coordinates: Sequence[int]) -> None:
        """Keep coordinates of a node where they are."""
        for k in coordinates:
            pair = [self._still, self._coordinate(node, k)]
            self.system.AddObject(self.items.ObjectConnectorCoordinate(markerNumbers=pair))

    def spring(self, node: int, coordinate: int, stiffness: float, rest: float) -> None:
        """Hold a coordinate by a spring that is slack at a change of it."""
        spring = self.items.CoordinateSpringDamper(
            markerNumbers=[self._still, self._coordinate(node, coordinate)],
            stiffness=stiffness,
            offset=rest,
        )
        self.system.AddObject(spring)

    def hinge(self, one: int, other: int) -> None:
        """Join two marked places, free to turn."""
        self.system.AddObject(self.items.RevoluteJoint2D(markerNumbers=[one, other]))

    def rope(
        self,
        places: Sequence[int],
        radii: Sequence[float],
        sides: Sequence[int],
        stretch: tuple[float, float],
    ) -> int:
        """Run a rope over sheaves, its ends with radius 0; stiffness and natural length."""
        axes = self.exudyn.Vector3DList([[0.0, 0.0, float(side)] for side in sides])
        rope = self.items.ReevingSystemSprings(
            markerNumbers=list(places),
            sheavesAxes=axes,
            sheavesRadii=list(radii),
            stiffnessPerLength=stretch[0],
            referenceLength=stretch[1],
            regularizationForce=-1.0,
        )
        return self.system.AddObject(rope)

    def string(self, one: int, other: int, stretch: tuple[float, float]) -> int:
        """Run a straight string between two marked places; stiffness and natural length."""
        string = self.items.SpringDamper(
            markerNumbers=[one, other],
            stiffness=stretch[0] / stretch[1],
            referenceLength=stretch[1],
        )
        return self.system.AddObject(string)

    def limb(self, nodes: Floats, start: Floats, stiffness: tuple[float, float]) -> list[int]:
        """Give a beam clamped at its first node, (n, 4) of place and slope; straight unstrained.

        It is begun from other places and slopes, as a start for the solver.
        """
        made = [
            self.system.AddNode(
                self.items.NodePoint2DSlope1(
                    referenceCoordinates=list(at), initialCoordinates=list(begun - at)
                )
            )
            for at, begun in zip(nodes, start, strict=True)
        ]
        length = float(np.linalg.norm(nodes[1, :2] - nodes[0, :2]))
        for a, b in itertools.pairwise(made):
            element = self.items.Cable2D(
                nodeNumbers=[a, b],
                length=length,
                massPerLength=1.0,
                bendingStiffness=stiffness[0],
                axialStiffness=stiffness[1],
            )
            self.system.AddObject(element)
        self.hold(made[0], range(4))
        return made

    def at_node(self, node: int) -> int:
        """Mark a node's place."""
        return self.system.AddMarker(self.items.MarkerNodePosition(nodeNumber=node))

    def push(self, place: int, x: float, y: float) -> None:
        """Load a marked place with a dead force."""
        load = self.items.LoadForceVector(markerNumber=place, loadVector=[x, y, 0.0])
        self.system.AddLoad(load)

    def apart(self, one: int, other: int, distance: float) -> int:
        """Keep two marked places a distance apart."""
        rod = self.items.ObjectConnectorDistance(markerNumbers=[one, other], distance=distance)
        return self.system.AddObject(rod)

    # -------------------------------------------------------------------------------- what it says

    def assemble(self) -> None:
        """Put the parts together."""
        self.system.Assemble()

    def settle(self, tolerance: float = 1e-10, steps: int = 1) -> None:
        """Come to rest, beginning where it stood last."""
        settings = self.exudyn.SimulationSettings()
        settings.solution.file.write = False
        static = settings.staticSolver
        static.verboseMode = 0
        static.numberOfLoadSteps = steps
        static.newton.maxIterations = 80
        static.newton.relativeTolerance = static.newton.absoluteTolerance = tolerance
        assert self.system.SolveStatic(settings, updateInitialValues=True)

    def residual(self) -> Floats:
        """Forces on all free coordinates."""
        solver, settings = self.exudyn.MainSolverStatic(), self.exudyn.SimulationSettings()
        settings.solution.file.write = False
        settings.staticSolver.verboseMode = 0
        solver.InitializeSolver(self.system, settings)
        solver.ComputeODE2RHS(self.system)
        return np.array(solver.GetSystemResidual())

    def tension(self, rope: int) -> float:
        """Give the pull of a rope or a string."""
        return float(np.ravel(self._of(rope, self.exudyn.OutputVariableType.ForceLocal))[0])

    def length(self, rope: int) -> float:
        """Give the length of a rope."""
        return float(self._of(rope, self.exudyn.OutputVariableType.Distance))

    def force(self, rod: int) -> float:
        """Give the force that keeps two places apart."""
        return float(np.linalg.norm(self._of(rod, self.exudyn.OutputVariableType.Force)))

    def coordinates(self, node: int) -> Floats:
        """Coordinates of a node where it is now."""
        kind = self.exudyn.OutputVariableType.CoordinatesTotal
        return np.array(self.system.GetNodeOutput(node, kind))

    def _of(self, item: int, kind: Any) -> Any:
        return self.system.GetObjectOutput(item, kind)

    def _coordinate(self, node: int, coordinate: int) -> int:
        marker = self.items.MarkerNodeCoordinate(nodeNumber=node, coordinate=coordinate)
        return self.system.AddMarker(marker)
