"""A visitor: who a request comes from, known to whatever is done for it."""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass

from strandwright.workshop.account import Role


@dataclass(frozen=True)
class Visitor:
    """Who a request comes from.

    Attributes
    ----------
    id : str
        The session, or the paired phone.
    name : str
        The account, or what the phone is called.
    role : str or None
        The account's role; None for a phone.
    by : str
        How events name who wrote them.
    """

    id: str
    name: str
    role: Role | None
    by: str

    @property
    def is_phone(self) -> bool:
        """Whether it is a paired phone."""
        return self.role is None


#: Who the request under way comes from; nobody where there is no sign-in.
VISITOR: ContextVar[Visitor | None] = ContextVar("visitor", default=None)
