"""Happenings of an order: a customer's visit, from the counter to the string that settled."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from strandwright.workshop.fields import Noun

Body = dict[str, Any]

#: Each type of event of an order with its body today.
BODIES: dict[str, type[Noun]] = {}
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {}
