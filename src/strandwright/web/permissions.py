"""Permissions: which role a request needs at least, in one table.

A path that stands in no row is refused to everybody. Where several rows fit a path, the strictest
counts; rows that end in ``/**`` count where no other fits. So a row can be forgotten only to the
safe side. Where the app listens on loopback only there is no sign-in, and none of this is asked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from strandwright.workshop.account import ROLES, Role


@dataclass(frozen=True)
class Row:
    """What a request needs.

    Attributes
    ----------
    method : str
        Its method.
    path : str
        Its path, a name in braces for each part that varies; ``/**`` at the end for all below.
    least : str or None
        The role needed at least; None where nobody need have signed in.
    phone : bool
        Whether a paired phone may.
    """

    method: str
    path: str
    least: Role | None
    phone: bool = False

    @property
    def pattern(self) -> re.Pattern[str]:
        """What its path matches."""
        return _pattern(self.path)

    @property
    def is_for_all_below(self) -> bool:
        """Whether it stands for everything below a path."""
        return self.path.endswith("/**")

    @property
    def rank(self) -> int:
        """How strict it is [-]."""
        return -1 if self.least is None else ROLES.index(self.least)


ANYONE = None
LOOKER, COUNTER, TECHNICIAN, OWNER = ROLES


def _rows(least: Role | None, *requests: str, phone: bool = False) -> tuple[Row, ...]:
    split = (request.split(" ") for request in requests)
    return tuple(Row(method, path, least, phone) for method, path in split)


#: The shell of the pages, which holds nothing of anybody, and the door itself.
_DOOR = _rows(
    ANYONE,
    "GET /",
    "GET /sw.js",
    "GET /favicon.ico",
    "GET /static/**",
    "GET /api/session",
    "POST /api/session",
    "POST /api/pair",
)
_PEOPLE = (
    *_rows(LOOKER, "POST /api/session/end", phone=True),
    *_rows(LOOKER, "POST /api/session/everywhere", "POST /api/session/password"),
    *_rows(TECHNICIAN, "GET /api/pairings", "POST /api/pairings", "POST /api/pairings/{id}/end"),
    *_rows(COUNTER, "GET /api/pairings/photos"),
    *_rows(
        OWNER,
        "GET /api/people",
        "POST /api/people",
        "POST /api/people/{name}/role",
        "POST /api/people/{name}/password",
        "POST /api/people/{name}/away",
    ),
)
_LINES = (
    *_rows(
        LOOKER,
        "GET /api/openapi.json",
        "GET /api/choices",
        "GET /api/shop",
        "GET /api/benches",
        "GET /api/bows",
        "GET /api/jobs",
        "GET /api/jobs/{id}",
        "GET /api/jobs/-/next-acts",
        "GET /api/jobs/{id}/bow",
        "GET /api/jobs/{id}/bow/readings",
        "GET /api/jobs/{id}/bow/servings",
        "GET /api/jobs/{id}/job.toml",
        "GET /api/jobs/{id}/revisions",
        "GET /api/jobs/{id}/sheet.pdf",
        "GET /api/jobs/{id}/strip.svg",
        "GET /api/sets",
        "GET /api/sets/{id}",
        "GET /api/sets/{id}/set.toml",
        "GET /api/sets/{id}/sheet.pdf",
    ),
    # Tries keep nothing, but work the computer; the counter asks them for a quote.
    *_rows(COUNTER, "POST /api/jobs/{id}/bow/what-if", "POST /api/jobs/{id}/try"),
    *_rows(
        TECHNICIAN,
        "POST /api/jobs",
        "POST /api/jobs/from-shorthand",
        "PUT /api/jobs/{id}",
        "POST /api/jobs/{id}/again",
        "POST /api/jobs/{id}/away",
        "POST /api/jobs/{id}/builds",
        "POST /api/jobs/{id}/change",
        "POST /api/jobs/{id}/revert",
        "POST /api/sets",
        "PUT /api/sets/{id}",
        "POST /api/sets/{id}/away",
        "PUT /api/benches/{id}",
        "PUT /api/bows/{id}",
        "POST /api/shop/builds/{build}/aside",
    ),
)
_BUILDS = (
    *_rows(
        LOOKER,
        "GET /api/hello",
        "GET /api/live",
        "GET /api/builds",
        "GET /api/builds/-/outcomes",
        "GET /api/builds/{build}",
        phone=True,
    ),
    *_rows(
        LOOKER,
        "GET /api/builds/{build}/hear",
        "GET /api/builds/{build}/log.json",
        "GET /api/builds/{build}/service",
        "GET /api/builds/{build}/sheet.pdf",
        "GET /api/builds/{build}/tag.pdf",
        "GET /api/look-again",
    ),
    *_rows(COUNTER, "POST /api/builds/{build}/service"),
    # What a phone may send is looked at again where it is written: rounds, and nothing else.
    *_rows(TECHNICIAN, "POST /api/builds/{build}/events", phone=True),
    *_rows(
        TECHNICIAN,
        "POST /api/builds/{build}/hear",
        "POST /api/builds/{build}/hear/together",
        "POST /api/builds/{build}/spare",
    ),
)
#: Parts of the shop whose paths are many and alike.
_SHOP = (
    *_rows(
        COUNTER,
        "GET /api/customers/**",
        "POST /api/customers/**",
        "PUT /api/customers/**",
        "GET /api/orders/**",
        "POST /api/orders/**",
        "PUT /api/orders/**",
        "GET /api/quotes/**",
        "POST /api/quotes/**",
        "PUT /api/quotes/**",
        "GET /api/terms/**",
        "GET /api/photos/**",
    ),
    *_rows(COUNTER, "POST /api/photos/**", "PUT /api/photos/**", phone=True),
    *_rows(LOOKER, "GET /api/stock/**", "GET /api/queue/**", "GET /api/fits/**"),
    *_rows(
        TECHNICIAN,
        "POST /api/stock/**",
        "PUT /api/stock/**",
        "POST /api/queue/**",
        "PUT /api/queue/**",
        "POST /api/fits/**",
    ),
    *_rows(OWNER, "POST /api/terms/**", "PUT /api/terms/**"),
)
#: Everything that leaves the shop, or comes in from outside, is its owner's.
_RECORDS = _rows(
    OWNER,
    "GET /api/records",
    "PUT /api/records/backups",
    "POST /api/records/backups/now",
    "POST /api/records/backups/{name}/drill",
    "GET /api/records/csv.zip",
    "GET /api/records/builds.json",
    "POST /api/records/lists",
    "POST /api/records/lists/kept",
)
#: Every row there is.
TABLE: tuple[Row, ...] = (*_DOOR, *_PEOPLE, *_LINES, *_BUILDS, *_SHOP, *_RECORDS)


@cache
def _pattern(path: str) -> re.Pattern[str]:
    whole = path.removesuffix("/**")
    parts = re.split(r"\{[a-z_]+\}", whole)
    # Such as the router takes a part that varies: anything but a slash.
    text = "[^/]+".join(re.escape(part) for part in parts)
    return re.compile(text + ("(?:/.*)?" if whole != path else ""), re.DOTALL)


def rows_for(method: str, path: str) -> tuple[Row, ...]:
    """Give the rows that a request stands in.

    Parameters
    ----------
    method : str
        Its method.
    path : str
        Its path, without escapes.

    Returns
    -------
    tuple of Row
        Those of this very path; where there is none, those of all below a path.
    """
    asked = "GET" if method == "HEAD" else method
    found = [r for r in TABLE if r.method == asked and r.pattern.fullmatch(path)]
    exact = tuple(row for row in found if not row.is_for_all_below)
    return exact or tuple(found)


def needed(method: str, path: str) -> Row | None:
    """Give the strictest row a request stands in.

    Parameters
    ----------
    method : str
        Its method.
    path : str
        Its path, without escapes.

    Returns
    -------
    Row or None
        A phone may where every row lets it. None where it stands in none: nobody may.
    """
    rows = rows_for(method, path)
    if not rows:
        return None
    strictest = max(rows, key=lambda row: row.rank)
    phone = all(row.phone for row in rows)
    return Row(strictest.method, strictest.path, strictest.least, phone)
