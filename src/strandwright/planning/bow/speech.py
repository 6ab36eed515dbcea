"""Speech: how a kind of bow is spoken of, what its answers leave out, and what may hurt."""

from __future__ import annotations

from dataclasses import dataclass, field

from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.words import CAUTION, CAUTION_BENT
from strandwright.workshop.job import Job

NEGLECTS = (
    "a plane bow of rigid links and rigid wheels: limbs do not twist, wheels do not lean",
    "cables are taken to run straight, until it is told how far a guard holds them aside",
    "the other lines of the bow are taken to shorten per turn as this one does",
)
NEGLECTS_BENT = (
    "a plane bow of limbs that bend and never twist, on a riser that does not give",
    "how limbs and tips are shaped is not known: they are drawn from what is met with",
)
#: The angle at which a string is pressed on its rail is not asked for, so this is an example.
ON_RAIL = (
    "the string's friction on the rail it is pressed on: at 3° to the limbs' plane and a friction "
    "of 0.2 it takes 1 % of the stored energy"
)
NEGLECTS_WHEELED = (
    "a plane crossbow of rigid links and wheels, left and right alike, that neither twist nor lean",
    "cables that run under the rail are taken as if they ran straight",
    ON_RAIL,
    "the other lines of the bow are taken to shorten per turn as this one does",
)
NEGLECTS_PROD = (
    "a plane prod of limbs that bend and never twist, left and right alike, on a stock that does "
    "not give",
    ON_RAIL,
    NEGLECTS_BENT[1],
)
_AT_THE_TRIGGER = (
    "Never dry fire it: no trigger without a bolt. To cock it, foot in the stirrup and nobody "
    "before it; fingers and thumb stay below the rail. To uncock it, shoot a decocking bolt into "
    "a butt, or do as its maker says. "
)
_DEFERS = (
    "Keep to the bow maker's manual; where it says otherwise, it is right. In doubt leave it to a "
    "qualified technician."
)
CAUTION_WHEELED = (
    "Turns are put in and taken out with the crossbow uncocked and unloaded, in the press that its "
    f"maker's manual names; not every press fits. {_AT_THE_TRIGGER}{_DEFERS}"
)
CAUTION_PROD = (
    "Turns are put in and taken out with the crossbow uncocked and unloaded, its string taken off "
    f"as its maker's manual says, by the stringer made for it. {_AT_THE_TRIGGER}{_DEFERS}"
)


@dataclass(frozen=True)
class Speech:
    """How one kind of bow is spoken of.

    Attributes
    ----------
    missile : str
        What it shoots.
    full : str
        Where its draw ends.
    neglects : tuple of str
        What its answers leave out.
    caution : str
        What may hurt where turns are put in.
    labels : dict of str to str
        Figures that have another name than on other bows.
    """

    missile: str
    full: str
    neglects: tuple[str, ...]
    caution: str
    labels: dict[str, str] = field(default_factory=dict)


_FLAT = {"axle_to_axle_drawn": "axles at the latch", "string_angle": "angle at the latch"}


def kind_of(job: Job) -> str:
    """Name a job's kind of bow.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str
        As the job has it; of a crossbow also which.
    """
    bow = job.bow
    told = bow.kind == "crossbow" and bow.crossbow is not None
    return f"{bow.crossbow} crossbow" if told else bow.kind


def caution_of(*, crossbow: bool, wheels: bool) -> str:
    """Say what may hurt where turns are put into a bow.

    Parameters
    ----------
    crossbow : bool
        Whether it is one.
    wheels : bool
        Whether it has any.

    Returns
    -------
    str
        In plain words.
    """
    if crossbow:
        return CAUTION_WHEELED if wheels else CAUTION_PROD
    return CAUTION if wheels else CAUTION_BENT


def speech_of(model: BowModel) -> Speech:
    """Give how a bow is spoken of.

    Parameters
    ----------
    model : BowModel
        The bow.

    Returns
    -------
    Speech
        By its kind: held upright or a crossbow, with wheels or of limbs alone.
    """
    wheels = bool(model.family.strung.bow.wheels)
    caution = caution_of(crossbow=model.crossbow, wheels=wheels)
    if not model.crossbow:
        return Speech("arrow", "full draw", NEGLECTS if wheels else NEGLECTS_BENT, caution)
    left_out = NEGLECTS_WHEELED if wheels else NEGLECTS_PROD
    return Speech("bolt", "at the latch", left_out, caution, _FLAT)
