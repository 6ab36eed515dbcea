"""What a pluck says, in the job's own units: load, what to do, and what to know about it."""

from __future__ import annotations

import math
from typing import Any

from strandwright.planning.estimate import Estimate
from strandwright.planning.hearing.believing import strayed
from strandwright.planning.hearing.ear import Ear
from strandwright.planning.hearing.heard_load import HeardLoad, Listened
from strandwright.planning.written import Written
from strandwright.units import INCH, Dimension, to_unit
from strandwright.vibration.heard import Heard, Partial

Fields = dict[str, Any]

#: A load this near to the one asked for needs no more pulling [-]
NEAR = 0.03
#: A load this many times the one asked for, or this part of it, smells of a mistaken octave [-]
OCTAVE = 2.5
#: A pluck that sounded this much too high at first was hard [-]
HARD = 0.003
#: Modes that lie further off than this are not those of the line as it is drawn [-]
STRAYED = 0.004
#: Two plucks of one load do not differ by more than this [-]
APART = 0.02


def verdict_of(load: float, target: float) -> tuple[str, str]:
    """Say whether a load is the one asked for, and what to do.

    Parameters
    ----------
    load, target : float
        The load, and the one asked for, > 0 [N]

    Returns
    -------
    verdict : str
        ``low``, ``at`` or ``high``.
    say : str
        What to do.
    """
    off = load / target - 1.0
    if abs(off) <= NEAR:
        return "at", "that is the load"
    little = " a little" if abs(off) < 0.15 else ""
    return ("low", f"tighten{little}") if off < 0.0 else ("high", f"let it down{little}")


def load_text(load: Estimate, to: Written) -> str:
    """Write a load with its +- so that a reading takes it as it is.

    Parameters
    ----------
    load : Estimate
        The load [N]
    to : Written
        The job's units.

    Returns
    -------
    str
        Such as ``102.6 lbf +- 3.1 lbf``.
    """
    unit = "lbf" if to.system == "in" else "N"
    digits = 1 if unit == "lbf" else 0
    value, half = (to_unit(Dimension.FORCE, x, unit) for x in (load.value, 2.0 * load.u))
    return f"{value:.{digits}f} {unit} +- {max(half, 10.0**-digits):.{digits}f} {unit}"


def pitch_text(heard: Heard) -> str:
    """Write a pitch with its +-.

    Parameters
    ----------
    heard : Heard
        What was heard.

    Returns
    -------
    str
        Such as ``95.31 ± 0.02 Hz``.
    """
    half = 2.0 * heard.u
    digits = min(max(1 - math.floor(math.log10(max(half, 1e-4))), 0), 3)
    return f"{heard.pitch:.{digits}f} \u00b1 {half:.{digits}f} Hz"


def listening(ear: Ear, to: Written) -> Fields:
    """Say what to expect before any pluck.

    Parameters
    ----------
    ear : Ear
        The line at a step.
    to : Written
        The job's units.

    Returns
    -------
    dict
        Loads and pitches, in words and in SI.
    """
    target = ear.standing.target
    pitch = ear.pitch_at(target)
    near = [ear.pitch_at(target * f).value for f in (1.0 - NEAR, 1.0 + NEAR)]
    ends = [ear.pitch_at(target * f).value for f in ear.shares]
    return {
        "target_n": target,
        "target_text": to.force(target),
        "expected_hz": pitch.value,
        "expected_text": f"about {pitch.value:.1f} Hz at {to.force(target)}",
        "band_hz": near,
        "search_hz": ends,
        "partials_hz": list(ear.partials_at(target)),
        "pluck_text": pluck_text(ear, to),
        "why_not": "",
    }


def pluck_text(ear: Ear, to: Written) -> str:
    """Say where to pluck, which way, and where to listen.

    Parameters
    ----------
    ear : Ear
        The line at a step.
    to : Written
        The job's units.

    Returns
    -------
    str
        Two sentences.
    """
    places, zero = ear.places, ear.standing.zero
    step = INCH if to.system == "in" else 0.01
    pluck, listen = (
        to.length(step * round((zero + x) / step)) for x in (places.pluck, places.listen)
    )
    which = "the line" if ear.standing.closed else "one bundle of the skein"
    return (
        f"Pluck {which} along the posts, up and down on an upright jig, about {pluck} from the "
        f"zero end, {to.length(places.aside)} aside at most. Hold the microphone a hand's breadth "
        f"from it, about {listen} from the zero end."
    )


def hearing(ear: Ear, listened: Listened, to: Written) -> Fields:
    """Say what a sound says.

    Parameters
    ----------
    ear : Ear
        The line at a step.
    listened : Listened
        What was heard in it.
    to : Written
        The job's units.

    Returns
    -------
    dict
        Load, pitch, what to do, what to know, in words and in SI.
    """
    load = listened.load
    if load is None:
        heard = listened.refused
        why = heard.refusal.value if heard and heard.refusal else ""
        doubt = _doubt(ear, heard, to) if heard else []
        return {"heard": False, "why_not": why, "notes": doubt, "plucks": 0}
    heard = listened.plucks[-1][0]
    return {
        "heard": True,
        "why_not": "",
        "pitch": heard.pitch,
        "u": heard.u,
        "pitch_text": pitch_text(heard),
        **_load(ear, load, to),
        "pluck": {"load": load.load.value, "own": load.own, "common": load.common},
        "biggest": load.budget[0].label,
        "budget": [{"label": p.label, "share": p.share} for p in load.budget if p.share >= 0.01],
        "notes": notes(ear, heard, load, to),
        "partials": [_partial(p) for p in heard.partials],
        "plucks": load.plucks,
        "onset_s": heard.onset,
        "used_s": heard.duration,
    }


def _partial(partial: Partial) -> Fields:
    decay = 1.0 / partial.decay if partial.decay > 0.0 else None
    return {
        "mode": partial.mode,
        "hz": partial.frequency,
        "decay_s": decay,
        "level_db": partial.level,
    }


def _load(ear: Ear, load: HeardLoad, to: Written) -> Fields:
    verdict, say = verdict_of(load.load.value, ear.standing.target)
    return {
        "load": load.load.value,
        "load_text": to.estimate(load.load),
        "load_entry": load_text(load.load, to),
        "check_entry": load_text(ear.unchecked(load), to),
        "off": load.load.value / ear.standing.target - 1.0,
        "verdict": verdict,
        "say": say,
    }


def together_said(ear: Ear, load: HeardLoad, to: Written) -> Fields:
    """Say what several plucks say together.

    Parameters
    ----------
    ear : Ear
        The line at a step.
    load : HeardLoad
        The plucks taken together.
    to : Written
        The job's units.

    Returns
    -------
    dict
        Load, scatter, what to do.
    """
    count = {1: "one pluck", 2: "two plucks", 3: "three plucks"}.get(
        load.plucks, f"{load.plucks} plucks"
    )
    scatter = "" if load.plucks < 2 else f"{count} within {100.0 * load.scatter:.1f} %"
    apart = load.plucks > 1 and load.scatter > APART
    return {
        **_load(ear, load, to),
        "scatter_text": scatter or count,
        "notes": [
            "The plucks differ: pluck the same way each time, let the strap be, and leave out "
            "the odd one."
        ]
        if apart
        else [],
    }


def notes(ear: Ear, heard: Heard, load: HeardLoad, to: Written) -> list[str]:
    """Say what there is to know of a pluck.

    Parameters
    ----------
    ear : Ear
        The line at a step.
    heard : Heard
        What was heard.
    load : HeardLoad
        The load it tells of.
    to : Written
        The job's units.

    Returns
    -------
    list of str
        One sentence each.
    """
    said = [*_slip(ear, load, to), *_doubt(ear, heard, to)]
    if strayed(heard, ear.series_at(load.load.value)) > STRAYED:
        said.append(
            "It does not ring as this line does at this step, so the load may be far off: hear it "
            "at the step where it stands, with the servings that are drawn and nothing tied to it."
        )
    if heard.rise > HARD:
        said.append(
            f"Plucked hard: it sounded {100.0 * heard.rise:.1f} % high at first, "
            f"{200.0 * heard.rise:.1f} % in the load. It was read as the swing died away; pluck "
            "softer."
        )
    if heard.second is not None:
        apart = 100.0 * abs(heard.second.pitch / heard.pitch - 1.0)
        what = (
            "the line swings two ways at once: pluck it along the posts only"
            if ear.standing.closed
            else "the two bundles of the skein do not carry the same, or swing together"
        )
        said.append(f"It sounds at two pitches, {apart:.1f} % apart: {what}.")
    if heard.hum:
        hum = ", ".join(f"{f:.0f}" for f in heard.hum[:3])
        said.append(f"A hum at {hum} Hz was left out.")
    return said


def _slip(ear: Ear, load: HeardLoad, to: Written) -> list[str]:
    """Doubt a load so far off that an octave may have been mistaken."""
    times = load.load.value / ear.standing.target
    if 1.0 / OCTAVE < times < OCTAVE:
        return []
    much = f"{times:.1f} times" if times > 1.0 else f"1/{1.0 / times:.1f} of"
    return [
        f"That is {much} the {to.force(ear.standing.target)} of this step. If the strap cannot be "
        "so far off, an octave was mistaken: pluck again, at another place."
    ]


def _doubt(ear: Ear, heard: Heard, to: Written) -> list[str]:
    """Say which other load fits nearly as well."""
    if heard.octave is None:
        return []
    low, high = (math.log(share) for share in ear.shares)
    target = ear.standing.target
    # The pitch rises with the load, so that this finds the load of the other pitch.
    for _ in range(60):
        middle = 0.5 * (low + high)
        higher = ear.pitch_at(target * math.exp(middle)).value > heard.octave.pitch
        low, high = (low, middle) if higher else (middle, high)
    other = to.force(target * math.exp(0.5 * (low + high)))
    return [f"It could nearly as well be {heard.octave.pitch:.1f} Hz, which would be {other}."]
