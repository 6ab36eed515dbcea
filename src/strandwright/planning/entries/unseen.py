"""Unseen: characters in a text that nobody sees, or that turn the text round them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.planning.entries.named import Entry, entries_of
from strandwright.workshop.fields import Noun

#: Unicode's controls, format characters (such as those that turn text round) and line ends.
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
#: Remarks may run over several lines.
_REMARKS = frozenset({"bow.cam_marks", "bow.lean", "original.wear"})


def unseen_in(entries: Iterable[Entry]) -> Iterator[InputError]:
    """Find texts that hold such a character.

    Parameters
    ----------
    entries : iterable of Entry
        What was entered.

    Yields
    ------
    InputError
        For each such text: field, value, rule and remedy.
    """
    for field, value in entries:
        if not isinstance(value, str) or value.isprintable():
            continue
        text = re.sub(r"[\n\t]", "", value) if field in _REMARKS else value
        hidden = [c for c in text if unicodedata.category(c) in _HIDDEN]
        if hidden:
            rule = f"must not hold the unseen character U+{ord(hidden[0]):04X}"
            yield SpecError(field, value, rule, "type it again, without pasting")


def refuse_unseen(noun: Noun, passed: Noun | None = None) -> None:
    """Refuse, before it is kept, what holds such a character: it could not be planned later.

    Parameters
    ----------
    noun : Noun
        A job.
    passed : Noun or None
        What is kept already; what is the same there is not looked at again.

    Raises
    ------
    InputError
        For one such text: field, value, rule and remedy.
    InputErrors
        For several.
    """
    found = tuple(unseen_in(entries_of(noun, passed=passed)))
    if found:
        raise found[0] if len(found) == 1 else InputErrors(found)
