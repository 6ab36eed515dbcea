"""A low-stretch string on an old or wooden bow: told from its age, its limbs and its maker."""

from __future__ import annotations

import pytest

from sample_job import plan_of
from strandwright.planning.fits.low_stretch import is_too_stiff, why_polyester
from strandwright.workshop.parts import Bow


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({}, ""),
        ({"year": 2016}, ""),
        ({"year": 1990}, ""),
        ({"year": 1989}, "made in 1989"),
        ({"limbs": "wood"}, "of wood"),
        ({"limbs": "wood", "year": 2020}, "of wood"),
        ({"limbs": "wood and glass"}, ""),
        ({"limbs": "carbon", "year": 1975}, "made in 1975"),
        ({"old_or_wooden": True}, "old or wooden"),
        ({"takes_low_stretch": False}, "its maker"),
        ({"takes_low_stretch": False, "limbs": "carbon"}, "its maker"),
        ({"takes_low_stretch": True, "limbs": "wood", "year": 1960, "old_or_wooden": True}, ""),
    ],
)
def test_what_is_told_of_a_bow_says_whether_it_is_for_polyester(told, why):
    """Its maker goes before its limbs, its limbs before its year."""
    bow = Bow(kind="longbow", **told)
    said = why_polyester(bow)
    assert (said != "") == (why != "")
    assert why in said
    for fibre in ("hmpe", "hmpe-lcp", "aramid"):
        assert is_too_stiff(bow, fibre) == (why != "")
    assert not is_too_stiff(bow, "polyester")


def test_a_job_of_a_bow_of_wood_is_warned_of_without_a_tick():
    """The sample's strand stretches little."""
    words = "a low-stretch line on an old or wooden bow"
    assert not any(words in said for said in plan_of().warnings)
    assert any(words in said for said in plan_of(changes={"bow.limbs": "wood"}).warnings)
