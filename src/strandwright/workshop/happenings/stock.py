"""Happenings of stock: what became of a spool, or of small parts counted by the piece."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from strandwright.workshop.fields import Noun

Body = dict[str, Any]

#: Types that the log of a spool holds.
SPOOL: dict[str, type[Noun]] = {}
#: Types that the log of small parts holds.
PART: dict[str, type[Noun]] = {}
#: Each type of event of stock with its body today.
BODIES: dict[str, type[Noun]] = SPOOL | PART
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {}
