"""Mass on the string and arrow speed: measured bows, a virtual mass, and what mass cannot explain.

Sources: Hickman, C. N., *Effect of String Weight on Arrow Velocity and Efficiency of Bows* (1930s):
three wooden bows with strings of 108 and 254 gr, arrow 400 gr. Nagler, F., *String Weights*: one
flight bow with two strings. An instrument maker's page: stored energy and virtual mass of a 35 lb
recurve. A public web page, single source: one bow with a nylon and a linen string. Trade figures
for a peep are common practice, no source.

Of Hickman's three bows the yew one is the check: its printed efficiency and speed with the light
string go in, nothing is fitted, and speed and efficiency with the heavy string come out. His
lemonwood and maple rows contradict themselves: same arrow and same draw make the efficiencies
stand as the squares of the speeds, and theirs do not, whatever the rounding. All rows are shown;
for these two the tolerance is the contradiction.

Nagler's pair is consistency only: the virtual mass is chosen to fit it. The virtual mass of the
recurve is the source's own formula, so the speeds are worked from it, not measured.

The nylon string must not come out: it is heavier and it stretches more, and mass alone explains
less than half of what it costs.

Where a reason says *worked* or *band*, the printed column holds what was worked from the source's
numbers, or the middle of the band; so do the rows of the recurve.
"""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.bow.item_cost import cost_of
from strandwright.bow.launch import Shot, arrow_speed, efficiency
from strandwright.bow.string_mass import Item, effective_string_mass, uniform_string
from strandwright.bow.virtual_mass import VirtualMass, virtual_mass
from strandwright.units import FOOT, GRAIN

HICKMAN = "Hickman: three bows, strings of 108 and 254 gr, arrow of 400 gr"
NAGLER = "Nagler: a flight bow, consistency only"
RECURVE = "Instrument maker: 35 lb recurve, 43.00 J, K = 5.7697 g + 0.0583 m"
NYLON = "Web page: nylon of 320 gr against linen of 170 gr, arrow of 500 gr"
TRADE = "Common practice, no source: a peep"

ARROW, LIGHT, HEAVY = 400 * GRAIN, 108 * GRAIN, 254 * GRAIN
# Speeds [ft/s] and efficiencies with the light and with the heavy string.
BOWS = {
    "yew": (155.0, 148.0, 0.68, 0.62),
    "lemonwood": (142.0, 136.0, 0.62, 0.59),
    "maple": (139.0, 130.0, 0.67, 0.62),
}


def _string(mass: float) -> float:
    """Give what a bare string counts at the nocking point."""
    return effective_string_mass([uniform_string(mass)])


def _hickman(bow: str) -> tuple[float, float]:
    """Speed [ft/s] and efficiency with the heavy string, from those with the light one."""
    speed, _, eta, _ = BOWS[bow]
    energy = 0.5 * ARROW * (speed * FOOT) ** 2 / eta
    limbs = virtual_mass(ARROW / eta - ARROW - _string(LIGHT), 0.0)
    light = Shot(energy, ARROW, limbs, string_mass=_string(LIGHT))
    assert arrow_speed(light) / FOOT == pytest.approx(speed, rel=1e-12)
    heavy = Shot(energy, ARROW, limbs, string_mass=_string(HEAVY))
    return float(arrow_speed(heavy)) / FOOT, float(efficiency(heavy))


@pytest.mark.parametrize(
    ("bow", "speed_off", "share_off", "reason"),
    [
        ("yew", 1.5, 0.01, "efficiency is printed to 0.005, speeds to 0.5 ft/s; no fit"),
        ("lemonwood", 1.5, 0.015, "the row contradicts itself: not a check"),
        ("maple", 4.0, 0.01, "the row contradicts itself: not a check"),
    ],
)
def test_hickman_heavy_string(
    record, bow: str, speed_off: float, share_off: float, reason: str
) -> None:
    """The light string's printed speed and efficiency predict the heavy string's."""
    speed, eta = _hickman(bow)
    printed = BOWS[bow]
    record(HICKMAN, f"{bow}: speed with the heavy string", f"{printed[1]:g}", speed, speed_off,
           reason, "ft/s")  # fmt: skip
    record(HICKMAN, f"{bow}: efficiency with it", f"{printed[3]:g}", eta, share_off, reason)


@pytest.mark.parametrize(
    ("bow", "consistent"), [("yew", True), ("lemonwood", False), ("maple", False)]
)
def test_hickman_rows_that_contradict_themselves(bow: str, consistent: bool) -> None:
    """Within the rounding of print, efficiencies stand as squares of speeds for yew alone."""
    light, heavy, eta_light, eta_heavy = BOWS[bow]
    squares = ((heavy - 0.5) / (light + 0.5)) ** 2, ((heavy + 0.5) / (light - 0.5)) ** 2
    shares = (eta_heavy - 0.005) / (eta_light + 0.005), (eta_heavy + 0.005) / (eta_light - 0.005)
    overlap = max(squares[0], shares[0]) <= min(squares[1], shares[1])
    assert consistent == overlap


def test_third_of_the_string_and_not_all_or_none_of_it() -> None:
    """Counting all of the yew bow's string, or none, misses its heavy string by far."""
    light, heavy, eta, _ = BOWS["yew"]
    moving = ARROW / eta

    def miss(weight: float) -> float:
        return abs(light * np.sqrt(moving / (moving + weight * (HEAVY - LIGHT))) - heavy)

    assert miss(1 / 3) < 1.5
    assert miss(1.0) > 5.0
    assert miss(0.0) > 5.0


def test_nagler_pair_is_consistent(record) -> None:
    """200 gr arrow, string from 70 to 40 gr: 300 to 306 ft/s with limbs of 34 gr, which fit it."""
    energy = 0.5 * (200 + 34 + 70 / 3) * GRAIN * (300 * FOOT) ** 2
    shot = Shot(energy, 200 * GRAIN, virtual_mass(34 * GRAIN, 0.0), string_mass=_string(40 * GRAIN))
    record(NAGLER, "speed with the light string", "306", arrow_speed(shot) / FOOT, 0.5,
           "half the last digit; virtual mass chosen from this pair", "ft/s")  # fmt: skip


def test_nagler_pair_says_little_of_the_limbs() -> None:
    """The rounding of the two speeds alone lets the limbs weigh anything from 0 to over 80 gr."""

    def limbs(ratio: float) -> float:
        return 10.0 / (ratio**2 - 1.0) - 200.0 - 40.0 / 3.0

    assert limbs(306.5 / 299.5) < 0.0
    assert limbs(306.0 / 300.0) == pytest.approx(34.0, abs=0.5)
    assert limbs(305.5 / 300.5) > 80.0


@pytest.mark.parametrize(
    ("grams", "speed", "share"),
    [
        (15, "63.03", "0.693"),
        (20, "56.50", "0.743"),
        (25, "51.66", "0.776"),
        (30, "47.88", "0.800"),
    ],
)
def test_virtual_mass_of_a_recurve(record, grams: int, speed: str, share: str) -> None:
    """Speeds and efficiencies worked from the published energy and virtual mass."""
    shot = Shot(43.00, 1e-3 * grams, virtual_mass(5.7697e-3, 0.0583))
    record(RECURVE, f"arrow of {grams} g: speed", speed, arrow_speed(shot), 0.05,
           "the energy is 43.00 J from 48 readings and 42.94 J from 12", "m/s")  # fmt: skip
    record(RECURVE, f"arrow of {grams} g: efficiency", share, efficiency(shot), 0.5e-3,
           "half the last digit")  # fmt: skip


def _nylon() -> tuple[float, float]:
    """Speed with linen and predicted speed with nylon by mass alone [ft/s]."""
    linen, moving = 148.0, 650 * GRAIN
    limbs = virtual_mass(moving - 500 * GRAIN - _string(170 * GRAIN), 0.0)
    energy = 0.5 * moving * (linen * FOOT) ** 2
    shot = Shot(energy, 500 * GRAIN, limbs, string_mass=_string(320 * GRAIN))
    return linen, float(arrow_speed(shot)) / FOOT


def test_nylon_costs_more_than_its_mass(record) -> None:
    """Of the 13 ft/s that were lost mass explains 5 to 6."""
    linen, nylon = _nylon()
    record(NYLON, "loss of speed by mass alone, of 13 lost", "5.5", linen - nylon, 0.5,
           "the band of 5 to 6 worked with about 650 gr moving", "ft/s")  # fmt: skip


def test_nylon_must_not_come_out() -> None:
    """The model of mass alone stays far above the 135 ft/s that were read: stretch is not in it."""
    _, nylon = _nylon()
    assert nylon > 135.0 + 5.0


def test_peep_as_the_trade_finds_it(record) -> None:
    """25 gr a quarter of the way up count as 14 gr, 3 to 6 ft/s at the trade's 3 gr per ft/s."""
    peep = Item("peep", 25 * GRAIN, 0.25)
    equivalent = peep.mass * peep.weight / GRAIN
    record(TRADE, "25 gr at a quarter of the half string, on the arrow", "14", equivalent, 0.5,
           "half the last digit", "gr")  # fmt: skip
    record(TRADE, "its cost at 3 gr per ft/s", "4.5", equivalent / 3.0, 1.5,
           "the trade's 3 to 6 ft/s", "ft/s")  # fmt: skip


def test_peep_on_a_bow_of_the_350_gr_class(record) -> None:
    """On a bow that shoots 350 gr at 300 ft/s the energy model itself stays inside 3 to 6 ft/s."""
    bow: VirtualMass = virtual_mass(60 * GRAIN, 0.0)
    string = uniform_string(120 * GRAIN)
    moving = (350 + 60 + 40 + 25 * 0.75**2) * GRAIN
    energy = 0.5 * moving * (300 * FOOT) ** 2
    _, cost = cost_of([string, Item("peep", 25 * GRAIN, 0.25)], Shot(energy, 350 * GRAIN, bow))
    record(TRADE, "its cost by energy, 350 gr at 300 ft/s with 100 gr moving along", "4.5",
           float(cost.lost) / FOOT, 1.5, "the trade's 3 to 6 ft/s", "ft/s")  # fmt: skip
