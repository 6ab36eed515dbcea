"""Errors: each class of the tree can be made, printed, pickled and caught by its parents."""

from __future__ import annotations

import pickle
from collections.abc import Iterator

import pytest

from strandwright import errors
from strandwright.errors import InputError, SolveError, StrandwrightError


def tree(root: type[StrandwrightError]) -> Iterator[type[StrandwrightError]]:
    """Walk the error tree of the errors module, from the root down."""
    yield root
    for child in root.__subclasses__():
        if child.__module__ == errors.__name__:
            yield from tree(child)


CLASSES = list(tree(StrandwrightError))


def make(kind: type[StrandwrightError]) -> StrandwrightError:
    """Make an error of a class with all the facts it can carry."""
    if issubclass(kind, InputError):
        return kind("line.length", "57 1/4", "a length needs a unit", "type one, such as 57 1/4 in")
    if issubclass(kind, SolveError):
        return kind("no equilibrium was found; start from brace", residual=1.5e-3, iterations=40)
    if kind is errors.NotFound:
        return errors.NotFound("job", "RIDGE-9")
    if kind is errors.Conflict:
        return errors.Conflict("job", "RIDGE-1", "was changed elsewhere", "look at it again")
    return kind("the sheet could not be made")


def test_the_tree_is_whole() -> None:
    """Every exception of the module hangs on the one root."""
    defined = {
        value
        for value in vars(errors).values()
        if isinstance(value, type) and issubclass(value, Exception)
    }
    assert defined == set(CLASSES)


@pytest.mark.parametrize("kind", CLASSES)
def test_make_print_and_pickle(kind: type[StrandwrightError]) -> None:
    """An error keeps its class, its words and its facts through a pickle."""
    error = make(kind)
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is kind
    assert str(again) == str(error) != ""
    assert vars(again) == vars(error)
    assert again.args == error.args


@pytest.mark.parametrize("kind", [kind for kind in CLASSES if issubclass(kind, InputError)])
def test_input_errors_say_four_things(kind: type[InputError]) -> None:
    """Field, value, rule and remedy stand on one line; it is a ValueError; it can be re-aimed."""
    error = make(kind)
    assert isinstance(error, InputError) and isinstance(error, ValueError)
    for part in ("line.length", "57 1/4", "needs a unit", "type one"):
        assert part in str(error)
    assert "\n" not in str(error)
    moved = error.at("bow.brace_height")
    assert type(moved) is kind
    assert (moved.field, moved.given) == ("bow.brace_height", "57 1/4")
    assert (moved.rule, moved.remedy) == (error.rule, error.remedy)


def test_input_error_shows_other_values_as_written_in_code() -> None:
    """A value that is not text is shown by its repr."""
    assert "'[1, 2]'" in str(InputError("field", [1, 2], "rule", "remedy"))


@pytest.mark.parametrize("kind", [kind for kind in CLASSES if issubclass(kind, SolveError)])
def test_solve_errors_carry_their_evidence(kind: type[SolveError]) -> None:
    """Residual and iterations are printed where there are any; it is a RuntimeError."""
    error = make(kind)
    assert isinstance(error, RuntimeError)
    assert "residual 0.0015 after 40 iterations" in str(error)
    assert str(kind("no answer")) == "no answer"
