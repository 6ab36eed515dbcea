"""Arms: the swinging arms of a bench, and what about them cannot be meant."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.errors import GeometryError, InputError, LimitError, SpecError
from strandwright.fibre.strand_law import strand_tension
from strandwright.geometry.swung_arms import (
    SQUARE,
    Arms,
    arm_moment,
    greatest_on_the_way,
    pivots_for,
)
from strandwright.line.build import Settings
from strandwright.line.model import LineModel
from strandwright.line.swung_loop import least_between
from strandwright.line.unknowns import Unknowns
from strandwright.planning.line_of_job import si
from strandwright.planning.loops import EndLoop, line_loops
from strandwright.planning.makings.yoke import is_halved
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.result.four_posts import Swing
from strandwright.planning.written import Written
from strandwright.units import INCH
from strandwright.workshop.job import Job
from strandwright.workshop.parts import BenchSpec, SwingArms

#: A loop's serving goes this far past each mark: 1/4 in, common practice [m]
BEYOND = 0.25 * INCH
#: Arms are swung with the skein just taut, at this share of the measuring load: habit of ours [-]
SWING_SHARE = 0.25
#: Arms turn half way between their posts where the job does not say [-]
MIDDLE = 0.5
#: In line the two inner posts must stay this far apart, so that the serving tool passes [m]
LEAST_APART = 1.0 * INCH

Pair = tuple[float, float]


def posts_of(bench: BenchSpec, arms: SwingArms) -> tuple[Pair, Pair]:
    """Give the posts of both arms.

    Parameters
    ----------
    bench : BenchSpec
        The bench.
    arms : SwingArms
        Its arms.

    Returns
    -------
    tuple of (float, float)
        Diameter of outer and inner post, zero arm and far arm [m]
    """
    zero = bench.zero_post.si
    far = si(bench.far_post, zero)
    return (zero, si(arms.post, zero)), (far, si(arms.post, far))


def arms_seen(bench: BenchSpec, arms: SwingArms, offset: float) -> Arms:
    """Give the arms as the centreline of a skein sees them.

    Parameters
    ----------
    bench : BenchSpec
        The bench.
    arms : SwingArms
        Its arms.
    offset : float
        Mean distance of the strands' centreline from the posts' surface [m]

    Returns
    -------
    Arms
        Radii of the centreline on the posts.
    """
    zero, far = (tuple(0.5 * post + offset for post in pair) for pair in posts_of(bench, arms))
    pivot = MIDDLE if arms.pivot is None else arms.pivot.si
    return Arms(arms.between.si, pivot, (zero[0], far[0]), (zero[1], far[1]))


def arms_of(job: Job) -> SwingArms | None:
    """Give the arms that the loops of a job's line are served on.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    SwingArms or None
        None on two posts, and for lines that are laid in or part in two legs: their loops are no
        stretch of one whole skein, and are made as the bench without arms makes them.
    """
    own_way = job.line.laid is not None or is_halved(job)
    return None if own_way else job.bench.arms


def unused_arms(job: Job) -> str:
    """Say that the arms of a job's bench are left out.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str
        Why; empty where the bench has none, or its arms are used.
    """
    if job.bench.arms is None or arms_of(job) is not None:
        return ""
    why = "laid in by hand" if job.line.laid is not None else "parted in two legs of half its skein"
    return (
        f"bench.arms, {job.bench.arms.between.text}: not used, for a line {why} has no loop that "
        "is a stretch of one whole skein; leave the arms in line, pinned"
    )


def unfit_arms(job: Job) -> Iterator[InputError]:
    """Find arms whose posts are in each other's way, or on which a loop cannot be served.

    Parameters
    ----------
    job : Job
        The job; each entry is in its own range.

    Yields
    ------
    InputError
        Field, value, rule and remedy.
    """
    arms = arms_of(job)
    if arms is None:
        return
    to, pairs = Written.on(job.paper), posts_of(job.bench, arms)
    outer = min(pair[0] for pair in pairs)
    if arms.post is not None and arms.post.si > outer:
        rule = f"must be no thicker than the outer post, {to.fine(outer)}"
        remedy = "a thicker one holds the skein off in line: take a thinner one, or leave it out"
        yield SpecError("bench.arms.post", arms.post.text, rule, remedy)
        return
    try:
        loops = line_loops(job)
    except InputError:
        return  # what keeps a loop from being made is told where the line is made
    for end, pair in zip(loops, pairs, strict=True):
        error = _too_short(arms, end, pair, to)
        if error is not None:
            yield error
            return


def _too_short(arms: SwingArms, end: EndLoop, pair: Pair, to: Written) -> GeometryError | None:
    """Say that half of a loop does not lie free between the posts of its arm."""
    least = least_between(end.loop.perimeter, BEYOND, 0.25 * sum(pair))
    if arms.between.si >= least:
        return None
    return GeometryError(
        "bench.arms.between",
        arms.between.text,
        f"must be {to.fine(least)} or more, so that half of the loop {end.place}, {end.size}, "
        "lies free between the posts",
        "set the posts of the arms further apart, or leave bench.arms out and serve the loops on "
        "two posts",
    )


def swing_of(prepared: Prepared, settings: Settings) -> Swing | None:
    """Work out the swing of the arms with the skein on them.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    settings : Settings
        Post setting, turns, marks.

    Returns
    -------
    Swing or None
        None for a jig of two posts.

    Raises
    ------
    GeometryError
        If the skein is too short for the arms.
    LimitError
        If it comes over the rating of strap, posts and beam on the way.
    """
    job, model = prepared.job, prepared.model
    spec = arms_of(job)
    if spec is None:
        return None
    skein = TautSkein(model, at_mean(prepared.parameters), settings)
    arms = arms_seen(job.bench, spec, skein.offset)
    light = SWING_SHARE * prepared.loads.measure
    line, square = (
        float(pivots_for(arms, skein.belt(light), angle, angle)) for angle in (0.0, SQUARE)
    )
    _refuse_crowded(job, line)
    swing = _swing(skein, arms, (light, prepared.loads.serve), (line, square))
    _refuse_over_rating(prepared, swing)
    return swing


def _swing(skein: TautSkein, arms: Arms, loads: Pair, pivots: Pair) -> Swing:
    light, serve = loads
    line, square = pivots
    begin = min(line, square)
    served = float(pivots_for(arms, skein.belt(serve), SQUARE, SQUARE))
    faces = (max(r) - skein.offset for r in zip(arms.outer, arms.inner, strict=True))
    return Swing(
        load=light,
        let_in=line - square,
        together=max(light, skein.load(greatest_on_the_way(arms, begin, together=True))),
        apart=max(light, skein.load(greatest_on_the_way(arms, begin, together=False))),
        held=max(light, skein.load(greatest_on_the_way(arms, line, together=False))),
        moment=float(arm_moment(arms, served, 0.5 * serve, SQUARE)),
        serve_load=serve,
        square=served + sum(faces),
    )


def _refuse_crowded(job: Job, line: float) -> None:
    """Refuse arms whose inner posts meet when they lie in line."""
    arms = job.bench.arms
    assert arms is not None
    pivot = MIDDLE if arms.pivot is None else arms.pivot.si
    inner = sum(pair[1] for pair in posts_of(job.bench, arms)) * 0.5
    free = line - 2.0 * (1.0 - pivot) * arms.between.si - inner
    if not free >= LEAST_APART:
        most = (line - inner - LEAST_APART) / (2.0 * (1.0 - pivot)) if pivot < 1.0 else line
        to = Written.on(job.paper)
        raise GeometryError(
            "bench.arms.between",
            arms.between.text,
            f"must be {to.length(max(most, 0.0))} or less, so that the inner posts stay clear of "
            "each other in line, with this line on them",
            "use shorter arms for so short a line, or leave bench.arms out",
        )


def _refuse_over_rating(prepared: Prepared, swing: Swing) -> None:
    rated = prepared.model.bench.rated_load
    highest = max(swing.apart, swing.together)
    if rated is None or highest <= rated:
        return
    arms, to = prepared.job.bench.arms, Written.on(prepared.job.paper)
    assert arms is not None
    raise LimitError(
        "bench.arms.between",
        arms.between.text,
        f"must keep the skein under the rating, {to.force(rated)}: one arm swung after the other, "
        f"it comes to {to.force(highest)}",
        "use shorter arms for so short a line, or leave bench.arms out",
    )


class TautSkein:
    """A bare skein on posts at any load: its belt, and the load of a belt.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    settings : Settings
        Post setting, turns, marks.
    """

    def __init__(self, model: LineModel, q: Unknowns, settings: Settings) -> None:
        self._model, self._q = model, q
        wound = float(model.wound(q, settings.posts).natural_loop[0])
        self.natural = wound * float(model.growth(q, model.route.stage("bare"), rested=True)[0])
        self.offset = float(model.posts(q).strand_offset[0])

    def strain(self, load: float) -> float:
        """Strain under a load on the gauge.

        Parameters
        ----------
        load : float
            Load on the gauge [N]

        Returns
        -------
        float
            Strain [-]
        """
        return float(self._model.strain(self._q, load * self._q["gauge"])[0])

    def belt(self, load: float) -> float:
        """Length of the belt under a load on the gauge.

        Parameters
        ----------
        load : float
            Load on the gauge [N]

        Returns
        -------
        float
            Along the mean centreline [m]
        """
        return self.natural * (1.0 + self.strain(load))

    def load(self, belt: float) -> float:
        """Load that a belt of this length stands under: the inverse.

        Parameters
        ----------
        belt : float
            Length of the belt [m]

        Returns
        -------
        float
            Load on the gauge; 0 where it is slack [N]
        """
        q, model = self._q, self._model
        law = (q["stiffness"], q["softening"], model.stock.break_strain)
        tension = float(strand_tension(belt / self.natural - 1.0, *law)[0])
        return tension * model.line.strand_count / float(q["gauge"][0])
