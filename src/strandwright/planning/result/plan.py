"""The plan: everything a technician needs to build one line, every number with its +-."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from strandwright.line.route import Loads, Route
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.result.bench import (
    LoopPlan,
    MarkPlan,
    ServingPlan,
    StagePlan,
    TwistPlan,
    Winding,
)
from strandwright.planning.result.certainty import Fit, Landing, Learned, Strength, Target
from strandwright.planning.result.four_posts import FourPosts
from strandwright.planning.result.laid import LaidIn
from strandwright.planning.result.yoke import YokePlan
from strandwright.planning.settings import Chosen
from strandwright.workshop.job import Job

if TYPE_CHECKING:
    from strandwright.planning.details.peep import PeepAnswer
    from strandwright.planning.details.section import DetailSection


@dataclass(frozen=True)
class Step:
    """One step of the route as the technician does it.

    Attributes
    ----------
    number : int
        From 1 [-]
    key : str
        ``posts``, ``wind``, ``even``, ``shift``, ``stretch``, ``read``, ``loops``, ``serve``,
        ``twist``, ``proof``, ``tag``; with reinforced ends ``reinforce``; with swinging arms
        ``swing``, ``loop``, ``level``, ``legs`` instead of ``loops``.
    title : str
        The act, a verb first.
    headline : str
        The one number to act on, with its unit.
    lines : tuple of str
        What else to know.
    caution : str
        Plain words where something can hurt; empty where nothing can.
    done : bool
        True when a reading shows that it is behind.
    id : str
        Its identity within the plan: ``wind-1``, ``stretch-bare``, ``read-half``.
    run : int or None
        The colour it winds, from 0 [-]
    stage : str
        The stage it reads or prepares; empty where there is none.
    turns : float or None
        Turns in the line when it is done [turn]
    load : float or None
        Load on the gauge [N]
    dwell : float or None
        How long [s]
    """

    number: int
    key: str
    title: str
    headline: str
    lines: tuple[str, ...]
    caution: str
    done: bool = False
    id: str = ""
    run: int | None = None
    stage: str = ""
    turns: float | None = None
    load: float | None = None
    dwell: float | None = None


@dataclass(frozen=True)
class Plan:
    """A plan for one line, whole: the job it was made from and every answer.

    Attributes
    ----------
    id : str
        Identity of this plan: the same job and program give the same.
    job : Job
        The job.
    target : Target
        The length asked for.
    route : Route
        The order of work with its stages.
    loads : Loads
        Loads and times of the route.
    winding : Winding
        Posts, passes, colours, tails.
    stages : tuple of StagePlan
        Recorded states in order.
    servings : tuple of ServingPlan
        Servings along the line.
    loops : tuple of LoopPlan
        The two loops, zero end first.
    marks : tuple of MarkPlan
        Marks along the line.
    throats : tuple of float
        Finished distance of each throat from the outside of its own pin, zero and far [m]
    twist : TwistPlan
        Turns.
    bare_diameter : Estimate
        Diameter of the bare bundle at the measuring load [m]
    strength : Strength
        Break load against the loads.
    fits : tuple of Fit
        Diameters against nock, tracks and pegs.
    mass : Estimate
        Mass of the finished line [kg]
    arrow_mass : Estimate or None
        Arrow mass that costs as much speed as this line does; None for a cable [kg]
    load_per_kelvin : Estimate
        Change of the load on locked posts when everything gets a kelvin warmer [N/K]
    landing : Landing
        How sure it is.
    rest : float
        Rest before the proof so that the delayed recovery no longer matters [s]
    warnings : tuple of str
        What to settle first.
    learned : tuple of Learned
        Readings used so far.
    parameters : ParameterVector
        What is known of the unknowns, after those readings.
    spread : Propagation
        The predicted build: every number of it with its slopes.
    chosen : Chosen
        The settings and how they were arrived at.
    carried : bool
        True where every +- was carried over from a plan near by, see
        :func:`~strandwright.planning.replan.quick_plan`.
    """

    id: str
    job: Job
    target: Target
    route: Route
    loads: Loads
    winding: Winding
    stages: tuple[StagePlan, ...]
    servings: tuple[ServingPlan, ...]
    loops: tuple[LoopPlan, ...]
    marks: tuple[MarkPlan, ...]
    throats: tuple[float, float]
    twist: TwistPlan
    bare_diameter: Estimate
    strength: Strength
    fits: tuple[Fit, ...]
    mass: Estimate
    arrow_mass: Estimate | None
    load_per_kelvin: Estimate
    landing: Landing
    rest: float
    warnings: tuple[str, ...]
    learned: tuple[Learned, ...]
    parameters: ParameterVector
    spread: Propagation = field(repr=False, compare=False)
    chosen: Chosen = field(repr=False, compare=False)
    carried: bool = False

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The route as the technician does it, one act and one number each."""
        from strandwright.planning.steps import lay_out_steps

        return lay_out_steps(self)

    @cached_property
    def four_posts(self) -> FourPosts | None:
        """Its loops on swinging arms; None for a jig of two posts."""
        from strandwright.planning.four_posts.jig import four_posts_of

        return four_posts_of(self)

    @cached_property
    def yoke(self) -> YokePlan | None:
        """The fork at its far end; None for a line that has none."""
        from strandwright.planning.yoke import yoke_of

        return yoke_of(self)

    @cached_property
    def laid(self) -> LaidIn | None:
        """How it is cut and laid in by hand; None for a line that is wound."""
        from strandwright.planning.laid.answer import laid_in_of

        return laid_in_of(self)

    @cached_property
    def peeps(self) -> tuple[PeepAnswer, ...]:
        """How far each peep turns as the bow is drawn, by the loads the plan knows."""
        from strandwright.planning.details.peep import peep_answers

        return peep_answers(self)

    @cached_property
    def details(self) -> tuple[DetailSection, ...]:
        """What a shop wants to know besides: peep, marks, ties, separator, rules."""
        from strandwright.planning.details.sections import detail_sections

        return detail_sections(self)

    def _repr_svg_(self) -> str:
        """Show the line on its strip in a notebook."""
        from strandwright.drawing import notebook_svg
        from strandwright.planning.picture import strip_picture

        return notebook_svg(strip_picture(self))

    def stage(self, key: str) -> StagePlan:
        """Give the stage of that key.

        Parameters
        ----------
        key : str
            The stage's short name.

        Returns
        -------
        StagePlan
            The stage.
        """
        return next(s for s in self.stages if s.key == key)
