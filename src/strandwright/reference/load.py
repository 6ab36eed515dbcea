"""Loading the built-in tables: strands, threads, fibres and workshop practice."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar, cast

from strandwright.errors import SpecError
from strandwright.reference.si import si_unit, spread_to_si, to_si
from strandwright.reference.values import Datum, Fibre, SteadyCreep, Strand, Thread

_T = TypeVar("_T")
_Table = dict[str, Any]
_PRACTICE_TABLES = (
    "practice.toml", "makeup.toml", "bows.toml", "launch.toml", "wheels.toml", "riser.toml",
    "crossbows.toml", "settling.toml", "marks.toml", "work.toml", "quote.toml",
    "stock.toml",
)  # fmt: skip


def strands() -> dict[str, Strand]:
    """Give every built-in strand.

    Returns
    -------
    dict of str to Strand
        By id; a fresh dictionary each time.
    """
    return dict(_strands())


def strand(name: str) -> Strand:
    """Give one built-in strand.

    Parameters
    ----------
    name : str
        Its id, e.g. ``hmpe-lcp``.

    Returns
    -------
    Strand
        All values in SI.

    Raises
    ------
    SpecError
        If there is no such strand; names those there are.
    """
    return _known(_strands(), "strand", name)


def threads() -> dict[str, Thread]:
    """Give every built-in serving thread.

    Returns
    -------
    dict of str to Thread
        By id; a fresh dictionary each time.
    """
    return dict(_threads())


def thread(name: str) -> Thread:
    """Give one built-in serving thread.

    Parameters
    ----------
    name : str
        Its id, e.g. ``braid-018``.

    Returns
    -------
    Thread
        All values in SI.

    Raises
    ------
    SpecError
        If there is no such thread; names those there are.
    """
    return _known(_threads(), "thread", name)


def fibres() -> dict[str, Fibre]:
    """Give every built-in fibre; for density, expansion and unit checks, not for plans.

    Returns
    -------
    dict of str to Fibre
        By id; a fresh dictionary each time.
    """
    return dict(_fibres())


def fibre(name: str) -> Fibre:
    """Give one built-in fibre.

    Parameters
    ----------
    name : str
        Its id, e.g. ``hmpe-high``.

    Returns
    -------
    Fibre
        All values in SI.

    Raises
    ------
    SpecError
        If there is no such fibre; names those there are.
    """
    return _known(_fibres(), "fibre", name)


def practice_table() -> dict[str, Datum]:
    """Give every workshop default.

    Returns
    -------
    dict of str to Datum
        By dotted key, e.g. ``measuring.load``; a fresh dictionary each time.
    """
    return dict(_practice())


def practice(key: str) -> Datum:
    """Give one workshop default.

    Parameters
    ----------
    key : str
        Dotted key, e.g. ``bow.recurve.fill``.

    Returns
    -------
    Datum
        In SI.

    Raises
    ------
    SpecError
        If there is no such key; names the groups of keys and the nearest keys.
    """
    return _known(_practice(), "practice", key)


def has_practice(key: str) -> bool:
    """Tell whether there is a workshop default of this name.

    Asking so costs next to nothing; an error that is only caught looks for the nearest keys first.

    Parameters
    ----------
    key : str
        Dotted key, e.g. ``wheels.one-cam.control_lever``.

    Returns
    -------
    bool
        True where `practice` gives one.
    """
    return key in _practice()


def datum(row: Mapping[str, Any], where: str) -> Datum:
    """Read one row of a table.

    Parameters
    ----------
    row : mapping
        ``value``, ``unit``, ``kind``, ``source``, one of ``u`` (in the row's unit) and
        ``u_relative`` [-], and perhaps ``low``, ``high`` and ``note``.
    where : str
        The row's full name, for the error.

    Returns
    -------
    Datum
        In SI.

    Raises
    ------
    SpecError
        If a key is missing or not known.
    UnitError
        If the unit is not known.
    """
    _refuse_bad_keys(row, where)
    unit = str(row["unit"])
    value = to_si(row["value"], unit)
    relative = row.get("u_relative")
    spread = spread_to_si(row["u"], unit) if relative is None else abs(value) * relative
    return Datum(
        value=value,
        standard_uncertainty=spread,
        unit=si_unit(unit),
        kind=row["kind"],
        source=row["source"],
        note=row.get("note", ""),
        low=to_si(row["low"], unit) if "low" in row else None,
        high=to_si(row["high"], unit) if "high" in row else None,
    )


def _refuse_bad_keys(row: Mapping[str, Any], where: str) -> None:
    needed = {"value", "unit", "kind", "source"}
    allowed = needed | {"u", "u_relative", "low", "high", "note"}
    rule = "a row has value, unit, kind, source and one of u and u_relative"
    if needed - row.keys() or row.keys() - allowed or ("u" in row) == ("u_relative" in row):
        raise SpecError(where, sorted(row), rule, "complete or correct the row")
    kinds = ("published", "measured", "practice", "memory")
    if row["kind"] not in kinds:
        raise SpecError(where, row["kind"], f"kind is one of {', '.join(kinds)}", "say which it is")


def _known(table: Mapping[str, _T], field: str, name: str) -> _T:
    if name in table:
        return table[name]
    near = get_close_matches(name, table, n=4, cutoff=0.4)
    remedy = f"did you mean {' or '.join(near)}?" if near else "choose one of these"
    # A long table is named by its groups, or the error would fill the screen.
    names = sorted({f"{key.split('.')[0]}.*" if "." in key else key for key in table})
    raise SpecError(field, name, f"known names are {', '.join(names)}", remedy)


def _read(name: str) -> _Table:
    return tomllib.loads((files("strandwright.reference") / name).read_text(encoding="utf-8"))


def _fields(table: _Table, where: str) -> dict[str, Any]:
    """Turn a table's rows into data and leave its plain texts as they are."""
    return {
        key: datum(cast(_Table, entry), f"{where}.{key}") if isinstance(entry, dict) else entry
        for key, entry in table.items()
    }


@cache
def _strands() -> dict[str, Strand]:
    families = _read("families.toml")
    return {
        name: _strand(name, families[row["fibre"]] | row)
        for name, row in _read("strands.toml").items()
    }


def _strand(name: str, table: _Table) -> Strand:
    steady = table.pop("steady_creep", None)
    creep = SteadyCreep(**_fields(steady, f"{name}.steady_creep")) if steady else None
    return Strand(id=name, steady_creep=creep, **_fields(table, name))


@cache
def _threads() -> dict[str, Thread]:
    return {
        name: Thread(id=name, **_fields(row | {"use": tuple(row["use"])}, name))
        for name, row in _read("threads.toml").items()
    }


@cache
def _fibres() -> dict[str, Fibre]:
    table = _read("fibres.toml")
    return {name: Fibre(id=name, **_fields(row, name)) for name, row in table.items()}


@cache
def _practice() -> dict[str, Datum]:
    rows: dict[str, Datum] = {}
    for name in _PRACTICE_TABLES:
        _flatten(_read(name), "", rows)
    return rows


def _flatten(table: _Table, prefix: str, rows: dict[str, Datum]) -> None:
    for key, entry in table.items():
        name = f"{prefix}{key}"
        if "value" in entry:
            rows[name] = datum(entry, name)
        else:
            _flatten(entry, f"{name}.", rows)
