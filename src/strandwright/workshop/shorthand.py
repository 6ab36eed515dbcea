"""Shorthand: a line's length and its servings on one line of text, as the trade writes them.

``55 7/16: 0-18, 21-22 5/8, 26 3/4-29 1/2, 18-0`` is the overall length, then where each serving
starts and stops, measured from the zero end. A serving whose start is larger than its stop is
measured from the far end, so the last one here runs from 37 7/16 to 55 7/16.
A hyphen is only ever a range here, never part of a fraction.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from strandwright.errors import InputError, SpecError
from strandwright.units import Dimension, System, format_length, parse, plain_text

_EN_DASH = "\u2013"
_RANGE = re.compile(r" *(?:[-\u2013\u2014]|(?<![a-z])to(?![a-z])) *", re.IGNORECASE)
_HYPHENATED = r"(?<![0-9./])([0-9]+) ?[-\u2013\u2014] ?(?=[0-9]+ ?/)"
_EXAMPLE = "55 7/16: 0-18, 21-22 5/8, 18-0"


@dataclass(frozen=True, slots=True)
class Run:
    """Where one serving starts and stops.

    Attributes
    ----------
    start : Fraction
        Nearer end, from the zero end, exact [m].
    stop : Fraction
        Farther end, from the zero end, exact, > start [m].
    from_far : bool
        Whether it is written as measured from the far end.
    """

    start: Fraction
    stop: Fraction
    from_far: bool = False


@dataclass(frozen=True, slots=True)
class Shorthand:
    """A line's overall length and its servings, in order from the zero end.

    Attributes
    ----------
    length : Fraction
        Overall length, exact, > 0 [m].
    runs : tuple of Run
        Servings in order; they may touch, never overlap.
    unit : {"in", "mm"}
        Unit it is written in.

    Raises
    ------
    SpecError
        If the length is zero, or a run has no length, lies off the line, or overlaps another.
    """

    length: Fraction
    runs: tuple[Run, ...] = ()
    unit: System = "in"

    def __post_init__(self) -> None:
        """Refuse servings that no line could carry."""
        if self.length <= 0:
            raise SpecError(
                "spec", str(self.length), "the overall length must be above 0", "type it first"
            )
        for run in self.runs:
            _refuse_run(self, run)
        for before, after in pairwise(self.runs):
            if after.start < before.stop:
                first, second = _run_text(self, before), _run_text(self, after)
                raise SpecError(
                    "spec",
                    second,
                    f"overlaps the serving {first}",
                    "mend the start of one or the stop of the other",
                )


def parse_shorthand(text: str, *, field: str = "spec") -> Shorthand:
    """Read a shorthand.

    Parameters
    ----------
    text : str
        Overall length, a colon, then start-stop pairs with commas between; the pair is joined by
        a hyphen, a dash or ``to``. Inches unless a unit (in or mm) stands after the length or
        any other number. A length alone is a line without servings.
    field : str
        The field's name, for the error.

    Returns
    -------
    Shorthand
        Exact, with its runs in order from the zero end and each one's way of writing kept.

    Raises
    ------
    SpecError
        If a part is not a start and a stop, a hyphen joins a fraction to its whole number, units
        are mixed, or a serving has no length, lies off the line or overlaps another.
    UnitError
        If a number cannot be read.

    Examples
    --------
    >>> shorthand = parse_shorthand("55 7/16: 0-18, 18-0")
    >>> format_shorthand(shorthand)
    '55 7/16: 0\u201318, 18\u20130'
    """
    head, *parts = _split(text, field)
    unit = _common_unit([head, *(end for part in parts for end in _RANGE.split(part))], text, field)
    _refuse_hyphenated(head, 1, field)
    length = _read(head, unit, field)
    runs: list[Run] = []
    for part in parts:
        _refuse_hyphenated(part, 2, field)
        start, stop = (_read(end, unit, field) for end in _RANGE.split(part))
        far = start > stop
        runs.append(Run(length - start, length - stop, True) if far else Run(start, stop))
    try:
        return Shorthand(length, tuple(sorted(runs, key=lambda run: (run.start, run.stop))), unit)
    except InputError as error:
        raise error.at(field) from None


def format_shorthand(shorthand: Shorthand, fraction: int = 16) -> str:
    """Write a shorthand; what is written can be read again.

    Parameters
    ----------
    shorthand : Shorthand
        What to write.
    fraction : int
        Finest fraction of an inch; millimetres are written to 0.1 mm [1/in].

    Returns
    -------
    str
        With an en dash in each range, no blank round it; with the unit only if millimetres.

    Raises
    ------
    SpecError
        If a serving is too short to be written at that fineness.
    """
    head = _number(shorthand.length, shorthand.unit, fraction)
    if shorthand.unit == "mm":
        head += " mm"
    texts = [_run_text(shorthand, run, fraction) for run in shorthand.runs]
    for text in texts:
        start, stop = text.split(_EN_DASH)
        if start == stop:
            rule = "the serving is too short to be written so coarsely"
            raise SpecError("spec", text, rule, "write it with a finer fraction")
    return f"{head}: {', '.join(texts)}" if texts else head


def mirrored(shorthand: Shorthand) -> Shorthand:
    """Turn the line end for end, so that its far end becomes the zero end.

    Parameters
    ----------
    shorthand : Shorthand
        The line as seen from one end.

    Returns
    -------
    Shorthand
        The same line as seen from the other; what was measured from one end still is, so that
        each range is written back to front. Mirroring twice gives the first one back.
    """
    length = shorthand.length
    runs = (
        Run(length - run.stop, length - run.start, not run.from_far)
        for run in reversed(shorthand.runs)
    )
    return Shorthand(length, tuple(runs), shorthand.unit)


def _split(text: str, field: str) -> list[str]:
    """Split into the overall length and the servings' parts."""
    plain = plain_text(text)
    if "+-" in plain:
        raise SpecError(field, text, "a shorthand carries no +-", "type the +- with the length")
    head, *tails = (part.strip() for part in re.split("[:;]", plain, maxsplit=1))
    parts = [part.strip() for tail in tails for part in tail.split(",")]
    if not head or (not tails and _RANGE.search(head)):
        rule = "the overall length and a colon must come first"
        raise SpecError(field, text, rule, f"type it such as {_EXAMPLE}")
    for part in parts:
        pieces = _RANGE.split(part)
        if len(pieces) == 1 or "" in pieces:
            raise SpecError(
                field,
                part or text,
                "there is no start and stop" + ("" if part else " beside a colon or a comma"),
                f"type each serving as start-stop, such as {_EXAMPLE}",
            )
    return [head, *parts]


def _common_unit(numbers: list[str], text: str, field: str) -> System:
    """Give the one unit that is named, inches if none is."""
    typed = {parse(Dimension.LENGTH, n, field=field).unit for n in numbers if _has_unit(n)}
    if not typed:
        return "in"
    if typed == {"mm"}:
        return "mm"
    if typed == {"in"}:
        return "in"
    rule = "a shorthand is all in inches or all in millimetres"
    raise SpecError(field, text, rule, "type one unit, in or mm, after the overall length")


def _has_unit(number: str) -> bool:
    return re.search("[^-0-9./ \u2013\u2014]", number) is not None


def _read(number: str, unit: System, field: str) -> Fraction:
    """Read one number, exact [m]."""
    typed = number if _has_unit(number) else f"{number} {unit}"
    return parse(Dimension.LENGTH, typed, field=field).value


def _refuse_hyphenated(part: str, count: int, field: str) -> None:
    """Hold a part to its count of numbers; show both readings where a hyphen makes two."""
    pieces = _RANGE.split(part)
    if len(pieces) == count:
        return
    joined = re.sub(_HYPHENATED, r"\1 ", part)
    if len(_RANGE.split(joined)) != count:
        rule = f"has {len(pieces)} numbers where there must be {count}"
        raise SpecError(field, part, rule, f"type it such as {_EXAMPLE}")
    fraction_text = _EN_DASH.join(_RANGE.split(joined))
    pairs = [_EN_DASH.join([*pieces[i : i + 2], "?"][:2]) for i in range(0, len(pieces), 2)]
    raise SpecError(
        field,
        part,
        f"can be read as '{fraction_text}' or as '{', '.join(pairs)}': "
        "a hyphen here is only ever a range",
        f"leave a space before a fraction: {fraction_text}; or set a comma between servings",
    )


def _refuse_run(shorthand: Shorthand, run: Run) -> None:
    """Refuse a serving without length or off the line."""
    if run.start >= run.stop:
        rule, remedy = "the serving has no length", "type a stop that differs from its start"
    elif run.start < 0 or run.stop > shorthand.length:
        length = format_length(shorthand.length, system=shorthand.unit, fraction=64)
        rule = f"the serving is not on the line, which is {length} long"
        remedy = "mend the start, the stop or the overall length"
    else:
        return
    raise SpecError("spec", _run_text(shorthand, run), rule, remedy)


def _run_text(shorthand: Shorthand, run: Run, fraction: int = 64) -> str:
    """Write a run from the end it was measured from.

    Both ends are rounded from the zero end first, so that servings which touch still touch.
    """
    length = _grid(shorthand.length, shorthand.unit, fraction)
    ends = [_grid(end, shorthand.unit, fraction) for end in (run.start, run.stop)]
    if run.from_far:
        ends = [length - end for end in ends]
    return _EN_DASH.join(_number(end, shorthand.unit, fraction) for end in ends)


def _grid(metres: Fraction, unit: System, fraction: int) -> Fraction:
    """Round to what can be written, exact [m]."""
    text = format_length(metres, system=unit, fraction=fraction)
    return parse(Dimension.LENGTH, text, field="spec", signed=True).value


def _number(metres: Fraction, unit: System, fraction: int) -> str:
    """Write a number without its unit; whole millimetres without decimals."""
    text = format_length(metres, system=unit, fraction=fraction, unit=False)
    return text.removesuffix(".0")
