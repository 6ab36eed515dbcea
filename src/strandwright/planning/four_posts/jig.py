"""Four posts: a line's loops served on swinging arms, from its plan to marks at the jig."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from strandwright.geometry.eye import shortest_perimeter
from strandwright.line.model import LineModel
from strandwright.line.parts import Loop, ServingThread
from strandwright.line.serving_geometry import served_span
from strandwright.line.swung_loop import (
    arm_side,
    off_allowed,
    throat_from_outside,
    uneven_share,
)
from strandwright.line.unknowns import Unknowns
from strandwright.planning.four_posts.arms import (
    BEYOND,
    TautSkein,
    arms_of,
    arms_seen,
    posts_of,
    swing_of,
)
from strandwright.planning.prepare import Prepared, at_mean, prepare
from strandwright.planning.result.bench import ServingPlan
from strandwright.planning.result.four_posts import ArmLoop, FourPosts, Legs, Swing
from strandwright.planning.result.plan import Plan
from strandwright.units import INCH

#: The tighter leg of the bare skein may carry this much more than the mean: habit of ours [-]
UNEVEN = 0.1
#: A mark is easily laid this far off its place: 1/32 in [m]
NUDGE = INCH / 32.0
#: Before the twist a loop is only bound, over so little that the twist still comes to it: 1/2 in,
#: habit of ours [m]
BINDING = 0.5 * INCH
#: Room that the tool needs between a serving and a post: 1/4 in [m]
TOOL = 0.25 * INCH
#: Colour of a loop's thread where the plan names none
THREAD_COLOUR = "#3A3A3A"


def four_posts_of(plan: Plan) -> FourPosts | None:
    """Work out what a four-post jig needs of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    FourPosts or None
        None where the bench has two posts.
    """
    if arms_of(plan.job) is None:
        return None
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    swing = swing_of(prepared, plan.chosen.settings)
    assert swing is not None
    return _Bench(plan, prepared, swing).four_posts()


@dataclass(frozen=True)
class _Bench:
    """A plan at its arms: what all of its loops have in common."""

    plan: Plan
    prepared: Prepared
    swing: Swing

    @property
    def model(self) -> LineModel:
        return self.prepared.model

    @property
    def q(self) -> Unknowns:
        return at_mean(self.prepared.parameters)

    def four_posts(self) -> FourPosts:
        """Gather both loops, the swing and the tails."""
        bench = self.plan.job.bench
        assert bench.arms is not None
        skein = TautSkein(self.model, self.q, self.plan.chosen.settings)
        served = [self._served(skein, loop) for loop in (self.model.line.zero, self.model.line.far)]
        between = 0.5 * (skein.belt(self.swing.serve_load) - sum(served))
        loops = (
            self._loop(skein, served[0], between, far=False),
            self._loop(skein, served[1], between, far=True),
        )
        buried = self.plan.winding.shift
        past_throat = max(0.5 * length + BEYOND for length in served)
        return FourPosts(
            arms=arms_seen(bench, bench.arms, skein.offset),
            posts=posts_of(bench, bench.arms),
            offset=skein.offset,
            swing=self.swing,
            loops=loops,
            between_marks=between,
            # Never at the crown of a loop, also where no serving buries them.
            tails_from_middle=max(buried, past_throat),
        )

    def _served(self, skein: TautSkein, loop: Loop) -> float:
        """Perimeter of a finished loop as its strands lie on the arms.

        A loop's strands have their perimeter in the finished line at the measuring load; on the
        arms they stand at another load and may have bedding-in and creep before them. No turn
        goes through a loop, so that none opens bedding-in there anew.
        """
        model, q = self.model, self.q
        untwisted = replace(model.route.stage("proof"), turns_share=0.0)
        grown = [
            float(model.growth(q, stage, rested=True)[0])
            for stage in (model.route.stage("bare"), untwisted)
        ]
        strained = [
            1.0 + skein.strain(load) for load in (self.swing.serve_load, model.line.measuring_load)
        ]
        return loop.perimeter * strained[0] * grown[0] / (strained[1] * grown[1])

    def _loop(self, skein: TautSkein, served: float, between: float, *, far: bool) -> ArmLoop:
        job, line = self.plan.job, self.model.line
        assert job.bench.arms is not None
        loop, end = (line.far, job.line.far_end) if far else (line.zero, job.line.zero_end)
        posts = posts_of(job.bench, job.bench.arms)[far]
        side = arm_side(job.bench.arms.between.si, posts, skein.offset)
        corners = (side.outer, side.inner)
        ends = tuple(corner.spot(0.5 * served + BEYOND) for corner in corners)
        reach = max(0.5 * served + BEYOND + TOOL - c.straight + 0.5 * max(posts) for c in corners)
        told = self.plan.loops[far]
        longer = (served + 2.0 * BEYOND) / loop.perimeter if told.thread else 0.0
        peg = next((p for p in job.bow.pegs if p.name == end.peg), None)
        strain = skein.strain(line.measuring_load)
        throat = throat_from_outside(served, posts[0], skein.offset)
        return ArmLoop(
            name=loop.name,
            far=far,
            size=told.size,
            peg=peg.name if peg else "",
            least_size=_least_size(loop, peg.diameter.si) if peg else None,
            served=served,
            marks=(side.outer.spot(0.5 * served), side.inner.spot(0.5 * served)),
            ends=(ends[0], ends[1]),
            side=side,
            reach=max(reach, 0.0),
            thread=told.thread,
            colour=self._colour(far),
            wraps=told.wraps * longer,
            thread_length=told.thread_length * longer,
            off_allowed=float(off_allowed(UNEVEN, between, strain)),
            uneven=float(uneven_share(NUDGE, between, strain)),
            legs=self._legs(loop, throat, posts, far=far),
        )

    def _colour(self, far: bool) -> str:
        serving = self._end_serving(far)
        return THREAD_COLOUR if serving is None else serving.colour

    def _end_serving(self, far: bool) -> ServingPlan | None:
        """Give the serving that runs down from a loop, if the job has one."""
        edges = self.model.layout.edges
        for index, serving in enumerate(self.plan.servings):
            first, last = self.model.layout.bounds(index)
            if (far and last == len(edges) - 1) or (not far and first == 0):
                return serving
        return None

    def _legs(self, loop: Loop, throat: float, posts: tuple[float, float], *, far: bool) -> Legs:
        serving = self._end_serving(far)
        index = -1 if serving is None else self.plan.servings.index(serving)
        made = serving is not None and self.plan.route.served_before_twist
        inner_face = 0.5 * posts[0] + self._between - 0.5 * posts[1]
        if serving is not None and made:
            edges = self.plan.stage("marking").edges
            long = edges[-1].value - serving.now_start if far else serving.now_stop - edges[0].value
            wraps, used = serving.wraps.value, serving.thread_length.value
        else:
            long = BINDING
            thread = self.model.line.servings[index].thread if serving else loop.thread
            wraps, used = self._bound(thread)
        return Legs(
            serving=serving.name if serving and made else "",
            later=serving.name if serving and not made else "",
            thread=serving.thread if serving else loop.thread.name if loop.thread else "",
            colour=serving.colour if serving else THREAD_COLOUR,
            start=throat,
            stop=throat + long,
            wraps=wraps,
            thread_length=used,
            clear_of_inner=throat + long + TOOL <= inner_face,
        )

    @property
    def _between(self) -> float:
        arms = self.plan.job.bench.arms
        assert arms is not None
        return arms.between.si

    def _bound(self, thread: ServingThread | None) -> tuple[float, float]:
        """Wraps and thread of a binding."""
        if thread is None:
            return 0.0, 0.0
        core = float(self.model.core_diameter(self.q, served=True)[0])
        span = served_span(core, thread.diameter, thread.flattening, thread.tension)
        return BINDING / float(span.pitch), BINDING * float(span.thread_per_length)


def _least_size(loop: Loop, peg: float) -> float:
    """Smallest inside length, laid flat, of a loop of these legs that passes over a peg."""
    least = float(shortest_perimeter(loop.leg_thickness, peg))
    return 0.5 * (least - 0.5 * math.pi * loop.leg_thickness)
