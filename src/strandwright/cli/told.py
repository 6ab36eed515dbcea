"""What cannot be used, told on one line each, and under the name the person typed."""

from __future__ import annotations

from collections.abc import Generator, Mapping
from contextlib import contextmanager

from strandwright.errors import InputError, InputErrors, StrandwrightError

#: Stands for the value where there is none.
_NOTHING = "nothing"


def told(error: StrandwrightError) -> str:
    """Write an error for the terminal: one line for each thing that cannot be used."""
    if isinstance(error, InputErrors):
        return "\n".join(told(each) for each in error.errors)
    if isinstance(error, InputError) and error.given == _NOTHING:
        return visible(f"{error.field}: {error.rule}; {error.remedy}")
    if isinstance(error, InputError):
        return visible(str(error))
    return "\n".join(visible(line) for line in str(error).split("\n"))


def visible(text: str) -> str:
    """Write each character that cannot be seen, or that turns the text round, by its number."""
    return "".join(c if c.isprintable() else f"<U+{ord(c):04X}>" for c in text)


@contextmanager
def named(options: Mapping[str, str]) -> Generator[None]:
    """Name options, not places in a job file, in the errors that arise inside.

    Parameters
    ----------
    options : mapping of str to str
        Option for each place of the job that it filled; what lies inside the place is meant too.
    """

    def moved(error: InputError) -> InputError:
        for place, option in options.items():
            if error.field == place or error.field.startswith((f"{place}.", f"{place}[")):
                return error.at(option)
        return error

    try:
        yield
    except InputError as error:
        raise moved(error) from error
    except InputErrors as several:
        raise InputErrors(tuple(moved(error) for error in several.errors)) from several


@contextmanager
def named_file(file: str) -> Generator[None]:
    """Name the file in the errors that arise inside, where they do not name it themselves.

    Parameters
    ----------
    file : str
        As it was typed.
    """
    try:
        yield
    except InputError as error:
        is_named = file in (error.given, error.field)
        raise (error if is_named else error.at(f"{file}: {error.field}")) from error
    except InputErrors as several:
        moved = tuple(error.at(f"{file}: {error.field}") for error in several.errors)
        raise InputErrors(moved) from several
