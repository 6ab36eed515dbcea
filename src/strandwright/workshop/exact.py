"""Exact numbers: decimals and fractions that are added, rounded and shared out without error."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

from strandwright.errors import SpecError


def half_up(exact: Decimal | Fraction, decimals: int) -> Decimal:
    """Round half up by size: 0.125 to 0.13, -0.125 to -0.13.

    Parameters
    ----------
    exact : Decimal or Fraction
        Any exact number; a fraction that no decimal holds is rounded once, from itself [unit]
    decimals : int
        Decimals to keep, >= 0 [-]

    Returns
    -------
    Decimal
        The rounded number.
    """
    refuse_float(exact)
    scaled = abs(Fraction(exact)) * 10**decimals
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return _scaled(whole if exact >= 0 else -whole, decimals)


def stripped(number: Decimal, fewest: int = 0) -> Decimal:
    """Take trailing zeros off, and leave the number as it is.

    Parameters
    ----------
    number : Decimal
        Any number.
    fewest : int
        Decimals to leave or to add, zeros or not [-]

    Returns
    -------
    Decimal
        The same number.
    """
    exact, decimals = Fraction(number), fewest
    while (exact * 10**decimals).denominator > 1:
        decimals += 1
    return half_up(exact, decimals)


def exact_sum(amounts: Iterable[Decimal]) -> Decimal:
    """Add amounts up without any rounding, however many and large they are.

    Parameters
    ----------
    amounts : iterable of Decimal
        The amounts.

    Returns
    -------
    Decimal
        Their sum; 0 for none.
    """
    total, decimals = Fraction(0), 0
    for each in amounts:
        refuse_float(each)
        exponent = each.as_tuple().exponent
        decimals = max(decimals, -exponent if isinstance(exponent, int) else 0)
        total += Fraction(each)
    return _scaled(int(total * 10**decimals), decimals)


def shared_out(money: Decimal, weights: Sequence[Decimal], decimals: int) -> tuple[Decimal, ...]:
    """Share an amount out so that the parts add up to it exactly.

    Parameters
    ----------
    money : Decimal
        The amount, with no more decimals than are kept.
    weights : sequence of Decimal
        By what to share it, none below 0 and not all 0.
    decimals : int
        Decimals of each part [-]

    Returns
    -------
    tuple of Decimal
        One part a weight: rounded down, what is left over given to those cut down most.
    """
    coins = int(abs(Fraction(money)) * 10**decimals)
    whole = sum(Fraction(weight) for weight in weights)
    exact = [coins * Fraction(weight) / whole for weight in weights]
    parts = [int(part) for part in exact]
    first = sorted(range(len(parts)), key=lambda i: (parts[i] - exact[i], i))
    for i in first[: coins - sum(parts)]:
        parts[i] += 1
    sign = -1 if money < 0 else 1
    return tuple(_scaled(sign * part, decimals) for part in parts)


def refuse_float(value: object) -> None:
    """Refuse a binary fraction, which holds hardly any amount of money exactly.

    Parameters
    ----------
    value : object
        What was given for an amount.

    Raises
    ------
    SpecError
        If it is one.
    """
    if isinstance(value, float):
        rule = "must be an exact decimal, never a binary fraction"
        raise SpecError("amount", repr(value), rule, "give it as text or as a Decimal")


def _scaled(coins: int, decimals: int) -> Decimal:
    """Give whole coins as an amount; made from digits, for arithmetic would round long ones."""
    digits = tuple(int(d) for d in str(abs(coins)))
    return Decimal((int(coins < 0), digits, -decimals))
