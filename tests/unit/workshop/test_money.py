"""Money: read from text alone, exact, rounded by one rule, never through a binary fraction."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any, cast

import pytest

from strandwright.errors import SpecError
from strandwright.workshop.exact import exact_sum, half_up, shared_out, stripped
from strandwright.workshop.fields import Noun
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.money import Money, Percent, amount, currency, percent


class _Priced(Noun):
    """A noun with an amount and a share."""

    price: Money
    share: Percent | None = None


def test_an_amount_is_read_from_text_and_whole_numbers():
    """What was written is kept to the last digit."""
    assert Decimal("12.50") == amount("12.50")
    assert "12.50" == str(amount(" 12.50 "))
    assert Decimal(7) == amount(7)
    assert Decimal("-0.000001") == amount("-0.000001")


@pytest.mark.parametrize(
    "given", [12.5, True, "12,50", "1e3", "12.50 EUR", "", "nan", "0.1234567", None, Decimal("NaN")]
)
def test_what_is_no_amount_is_refused_with_the_way_to_write_it(given: object):
    """A binary fraction above all: 0.1 is not a tenth."""
    with pytest.raises(SpecError, match="write it such as"):
        amount(given)


@pytest.mark.parametrize("given", [12.5, 0.1, float("nan")])
def test_no_binary_fraction_comes_into_a_sum_or_a_rounding(given: float):
    """Whatever the type checker was told."""
    smuggled = cast(Any, given)
    for does in (
        lambda: half_up(smuggled, 2),
        lambda: exact_sum([Decimal(1), smuggled]),
        lambda: currency("EUR").rounded(smuggled),
    ):
        with pytest.raises(SpecError, match="never a binary fraction"):
            does()


def test_a_noun_reads_and_writes_money_as_text():
    """A number in a file is refused: it has been a binary fraction already."""
    noun = noun_from_table(_Priced, {"price": "0.350", "share": "7.25 %"})
    assert {"price": "0.350", "share": "7.25 %"} == noun.model_dump(mode="json")
    assert noun == noun_from_table(_Priced, noun.model_dump(mode="json"))
    with pytest.raises(SpecError, match="price"):
        noun_from_table(_Priced, {"price": 0.35})
    assert noun_from_table(_Priced, {"price": 3}).price == 3
    assert "string" == _Priced.model_json_schema()["properties"]["price"]["type"]


def test_a_share_is_in_per_cent_and_at_most_the_whole():
    """19 % is 19; a bare number is not a share."""
    assert Decimal("19") == percent("19 %")
    assert Decimal("8.875") == percent("8.875%")
    for given in ("19", "101 %", "-1 %", 0.19, Decimal(101), None):
        with pytest.raises(SpecError, match="a share from"):
            percent(given)


@pytest.mark.parametrize(
    ("exact", "decimals", "rounded"),
    [
        ("0.125", 2, "0.13"),
        ("-0.125", 2, "-0.13"),
        ("0.135", 2, "0.14"),
        ("0.1249999", 2, "0.12"),
        ("2.5", 0, "3"),
        ("-2.5", 0, "-3"),
        ("1", 3, "1.000"),
        ("0.0005", 3, "0.001"),
    ],
)
def test_half_a_coin_goes_up_by_size(exact: str, decimals: int, rounded: str):
    """Never to the even neighbour, as binary rounding would."""
    assert rounded == str(half_up(Decimal(exact), decimals))


def test_a_fraction_is_rounded_once_from_itself():
    """200/3 is 66.67; 1/3 of a thousand billion keeps its last coin."""
    assert "66.67" == str(half_up(Fraction(200, 3), 2))
    assert "333333333333333333333333333333.33" == str(half_up(Fraction(10**30, 3), 2))


def test_a_sum_is_exact_where_the_usual_arithmetic_would_round():
    """A coin beside an amount of thirty digits stays."""
    great = Decimal(10) ** 30
    assert Decimal("1000000000000000000000000000000.01") == exact_sum([great, Decimal("0.01")])
    assert "0" == str(exact_sum([]))
    assert "0.30" == str(exact_sum([Decimal("0.10"), Decimal("0.20")]))


def test_what_is_shared_out_adds_up():
    """The odd coin goes to the part that was cut down most."""
    parts = shared_out(Decimal("10.00"), [Decimal(1), Decimal(1), Decimal(1)], 2)
    assert ("3.34", "3.33", "3.33") == tuple(str(p) for p in parts)
    parts = shared_out(Decimal("-0.05"), [Decimal(2), Decimal(1)], 2)
    assert ("-0.03", "-0.02") == tuple(str(p) for p in parts)
    assert Decimal("-0.05") == sum(parts)


def test_currencies_have_their_own_decimals_and_a_shop_may_say_others():
    """Two unless ISO 4217 says otherwise."""
    assert (2, 0, 3) == tuple(currency(code).decimals for code in ("EUR", "JPY", "KWD"))
    assert 1 == currency("EUR", 1).decimals
    assert "0.001" == str(currency("KWD").step)
    for code in ("eur", "EU", "EURO", "€"):
        with pytest.raises(SpecError, match="ISO 4217"):
            currency(code)


def test_an_amount_is_written_for_people():
    """Coins always shown, long ones in groups, finer prices whole, minus as a minus."""
    euro, yen = currency("EUR"), currency("JPY")
    assert "12.50\u00a0EUR" == euro.written(Decimal("12.5"))
    assert "0.1234\u00a0EUR" == euro.written(Decimal("0.1234"))
    assert "9999.00\u00a0EUR" == euro.written(Decimal("9999"))
    assert "12\u202f345.60\u00a0EUR" == euro.written(Decimal("12345.60"))
    assert "\u22123.00\u00a0EUR" == euro.written(Decimal(-3))
    assert "1500\u00a0JPY" == yen.written(Decimal("1.5e3"))


def test_trailing_zeros_are_taken_off_and_put_on():
    """The number stays as it is."""
    assert ("0.5", "100", "38.40", "38.4375") == (
        str(stripped(Decimal("0.500"))),
        str(stripped(Decimal("1E+2"))),
        str(stripped(Decimal("38.4000"), 2)),
        str(stripped(Decimal("38.4375"), 2)),
    )
