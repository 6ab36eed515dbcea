"""Builds out: what was planned, read and proved of each build, and nothing of whose it was.

Only numbers come out, and words that are chosen from a list of this program. No name, no
identity, no note, no colour, no label and no moment does: a date is its week, and a bench is a
hash under a key that is made for one export and thrown away, so two exports cannot be joined.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any, cast

from strandwright.errors import NotFound, UnitError
from strandwright.planning.comparing.words import chosen
from strandwright.planning.ports import Store
from strandwright.reference import strands
from strandwright.units import Dimension, Entered, parse
from strandwright.workshop.build_state import BuildState, Taken, fold
from strandwright.workshop.documents import BuildHead, PlanRecord
from strandwright.workshop.happenings.bench import DiameterRead, LegsRead, LengthRead, MassRead
from strandwright.workshop.parts import BenchSpec, Bow, BuildReading, LineSpec, MakeUp, RouteSpec

Fields = dict[str, Any]
FORMAT = 1
#: Significant digits of a number; a hundredth of a millimetre of a line [-]
_DIGITS = 6
_ZERO_C = 273.15


def builds_out(store: Store, salt: bytes) -> Fields:
    """Give every build for comparing.

    Parameters
    ----------
    store : Store
        Where they are kept.
    salt : bytes
        A key made for this export alone, to be thrown away.

    Returns
    -------
    dict
        Ready for JSON: ``format``, ``what`` and ``builds``.
    """
    found = [
        (_hash(salt, "build", head.id), build)
        for head in store.builds()
        if (build := _build(store, head, salt)) is not None
    ]
    # In no order that tells which came first within a week.
    builds = [build for _, build in sorted(found, key=lambda one: (one[1]["week"], one[0]))]
    return {"format": FORMAT, "what": "builds for comparing, without names", "builds": builds}


def _hash(salt: bytes, what: str, name: str) -> str:
    return hmac.new(salt, f"{what} {name}".encode(), hashlib.sha256).hexdigest()


def _build(store: Store, head: BuildHead, salt: bytes) -> Fields | None:
    try:
        record = store.plan(head.plan_id)
    except NotFound:
        return None
    state = fold(store.events(head.id))
    began = state.began_at or head.began_at
    job = record.job
    return {
        "bench": _hash(salt, "bench", str(_at(job, "bench", "name") or ""))[:8],
        "week": _week(began),
        "model_version": record.model_version,
        **_made_of(job),
        "bench_is": _bench(job),
        "planned": _planned(record),
        "readings": list(_readings(state, began)),
        "ended": _ended(state),
    }


def _at(table: object, *path: str) -> object:
    for key in path:
        table = cast("Mapping[str, Any]", table).get(key) if isinstance(table, Mapping) else None
    return table


def _week(moment: str) -> str:
    year, week, _ = datetime.fromisoformat(moment).isocalendar()
    return f"{year}-W{week:02}"


def _number(value: object, scale: float = 1.0) -> float | int | None:
    """Give a number to six digits; what is none, or no finite one, is nothing."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    if isinstance(value, int) and scale == 1.0:
        return value
    scaled = float(value) * scale
    return float(f"{scaled:.{_DIGITS}g}") if abs(scaled) < 1e12 else None


def _typed(dimension: Dimension, text: object, scale: float = 1.0) -> float | int | None:
    """Read a quantity as it was typed; what cannot be read is nothing."""
    if not isinstance(text, str):
        return None
    try:
        return _number(parse(dimension, text, field=dimension.value, signed=True).si, scale)
    except UnitError:
        return None


def _made_of(job: Mapping[str, Any]) -> Fields:
    """Tell what the line is, in words that are chosen from a list."""
    named = _at(job, "makeup", "strand")
    known = strands().get(named) if isinstance(named, str) else None
    own = _at(job, "makeup", "own_strand", "fibre")
    fibre = own if isinstance(own, str) and own in _FIBRES else None
    return {
        "bow": chosen(Bow, "kind", _at(job, "bow", "kind")),
        "line": chosen(LineSpec, "kind", _at(job, "line", "kind")),
        "fibre": known.fibre if known is not None and fibre is None else fibre,
        "strand": known.id if known is not None and fibre is None else None,
        "strands": _number(_at(job, "makeup", "strands")),
        "hand": chosen(MakeUp, "hand", _at(job, "makeup", "hand")),
        "order": chosen(RouteSpec, "order", _at(job, "route", "order")),
    }


_FIBRES = ("polyester", "hmpe", "hmpe-lcp", "aramid")


def _bench(job: Mapping[str, Any]) -> Fields:
    """Tell what the bench is, as far as it changes what a line does."""
    bench = _at(job, "bench")
    return {
        "zero_post_mm": _typed(Dimension.LENGTH, _at(bench, "zero_post"), 1e3),
        "far_post_mm": _typed(Dimension.LENGTH, _at(bench, "far_post"), 1e3),
        "post_stiffness_n_per_mm": _typed(Dimension.STIFFNESS, _at(bench, "post_stiffness"), 1e-3),
        "gauge": chosen(BenchSpec, "gauge", _at(bench, "gauge")),
        "tape": chosen(BenchSpec, "tape", _at(bench, "tape")),
        "beam": chosen(BenchSpec, "beam", _at(bench, "beam")),
    }


#: Numbers of a plan that come out: name, where it stands, and by what it is multiplied.
_PLANNED: tuple[tuple[str, tuple[str, ...], float], ...] = (
    ("finished_mm", ("target", "length_m"), 1e3),
    ("tolerance_mm", ("target", "tolerance_m"), 1e3),
    ("measuring_load_n", ("target", "measuring_load_n"), 1.0),
    ("pin_mm", ("target", "pin_diameter_m"), 1e3),
    ("posts_outside_mm", ("winding", "posts_outside_m"), 1e3),
    ("after_winding_mm", ("winding", "after_winding_m"), 1e3),
    ("turns", ("twist", "turns"), 1.0),
    ("take_up_mm", ("twist", "take_up_m"), 1e3),
    ("bare_diameter_mm", ("bare", "diameter_m"), 1e3),
    ("mass_g", ("mass", "line_kg"), 1e3),
    ("blind_plus_minus_mm", ("landing", "blind_plus_minus_m"), 1e3),
    ("guided_plus_minus_mm", ("landing", "guided_plus_minus_m"), 1e3),
    ("chance_first", ("landing", "chance_first"), 1.0),
)


def _planned(record: PlanRecord) -> Fields:
    told: Fields = {name: _number(_at(record.plan, *path), scale) for name, path, scale in _PLANNED}
    stages = _at(record.plan, "stages")
    told["stages"] = [
        {
            "stage": key,
            "length_mm": _number(_at(stage, "length_m"), 1e3),
            "plus_minus_mm": _number(_at(stage, "length_plus_minus_m"), 1e3),
            "load_n": _number(_at(stage, "load_n")),
            "turns": _number(_at(stage, "turns")),
        }
        for stage in (cast("list[object]", stages) if isinstance(stages, list) else [])
        if (key := chosen(BuildReading, "stage", _at(stage, "key") or "")) is not None
    ]
    return told


def _readings(state: BuildState, began: str) -> Iterator[Fields]:
    """Tell every reading that counts, by how long after the beginning it was taken."""
    taken: Sequence[Taken] = (*state.lengths, *state.diameters, *state.masses, *state.legs)
    start = datetime.fromisoformat(began)
    for one in sorted(taken, key=lambda one: one.at):
        hours = (datetime.fromisoformat(one.at) - start).total_seconds() / 3600.0
        told = _reading(one.reading)
        if told is not None:
            yield {"hours": round(hours, 1), **told}
    if state.strands is not None:
        yield {"what": "strands", "strands": state.strands}


def _reading(reading: object) -> Fields | None:
    match reading:
        case LengthRead():
            return {
                "what": "length",
                "stage": reading.stage,
                "length_mm": _si(reading.length, 1e3),
                "load_n": _si(reading.load),
                "heard": reading.heard,
                "turns": _number(reading.turns),
                "pins_mm": [_si(reading.zero_pin, 1e3), _si(reading.far_pin, 1e3)],
                "rest_min": _si(reading.rest, 1 / 60),
                "temperature_c": _celsius(reading.temperature),
            }
        case DiameterRead():
            what = "bare diameter" if reading.of == "bare" else "served diameter"
            return {"what": what, "diameter_mm": _si(reading.diameter, 1e3)}
        case MassRead():
            return {"what": "mass", "lost_g": _si(reading.lost, 1e3)}
        case LegsRead():
            legs = [_si(reading.left, 1e3), _si(reading.right, 1e3)]
            return {"what": "legs", "legs_mm": legs, "load_n": _si(reading.load)}
        case _:
            return None


def _si(value: Entered | None, scale: float = 1.0) -> float | int | None:
    return None if value is None else _number(value.si, scale)


def _celsius(value: Entered | None) -> float | None:
    return None if value is None else round(value.si - _ZERO_C, 1)


def _ended(state: BuildState) -> Fields:
    if state.locked is not None:
        return {"how": "locked", "turns": _number(state.locked.turns), "hand": state.locked.hand}
    return {"how": "put aside" if state.put_aside is not None else "not yet"}
