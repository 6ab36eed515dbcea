"""The package's public names: sorted, each in its place, each loaded on demand."""

from __future__ import annotations

import inspect

import pytest

import strandwright


def test_the_public_names_are_sorted_and_unique():
    """The list is in order, so that a change of it reads at a glance."""
    assert sorted(set(strandwright.__all__)) == strandwright.__all__


@pytest.mark.parametrize("name", [n for n in strandwright.__all__ if n != "__version__"])
def test_a_public_name_is_what_its_module_calls_it(name):
    """Each name loads, is documented, and carries its own name."""
    value = getattr(strandwright, name)
    assert name == value.__name__
    assert inspect.getdoc(value)
    assert value is getattr(strandwright, name)


def test_the_names_are_listed_before_they_are_loaded():
    """A prompt that completes names offers them all."""
    assert set(strandwright.__all__) <= set(dir(strandwright))


def test_an_unknown_name_is_an_attribute_error():
    """A misspelt name fails as it does on any module."""
    with pytest.raises(AttributeError, match="has no attribute 'plan_string'"):
        _ = strandwright.plan_string


def test_every_lazy_name_is_public_and_typed():
    """What is loaded on demand is exactly what is listed, and type checkers see the same."""
    source = inspect.getsource(strandwright)
    assert set(strandwright._HOMES) == set(strandwright.__all__) - {"__version__"}
    for name, home in strandwright._HOMES.items():
        assert f"from strandwright.{home} import" in source
        assert name in source
