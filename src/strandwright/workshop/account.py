"""An account: who may sign in, in which role; a paired phone; and what a password must be."""

from __future__ import annotations

import re
import unicodedata
from typing import Literal, get_args

from pydantic import Field

from strandwright.errors import SpecError
from strandwright.workshop.fields import Noun

#: From who may least to who may all; each may what those before it may.
Role = Literal["looker-on", "counter", "technician", "owner"]
ROLES: tuple[Role, ...] = get_args(Role)
#: What each role is for, in the trade's words.
MEANINGS: dict[Role, str] = {
    "looker-on": "sees lines, builds and the queue; changes nothing",
    "counter": "takes orders in, quotes, takes payment and hands over",
    "technician": "plans and builds lines, keeps benches, bows and stock, pairs phones",
    "owner": "all of it, and accounts, terms and the audit log",
}
#: A name to sign in with: it is typed with wax on the fingers, so case does not count.
NAME = re.compile(r"[a-z0-9][a-z0-9._-]{0,29}")
#: Identities of paired phones begin so; no account's does.
PHONE = "phone."
#: NIST SP 800-63B-4, 3.1.1.2: where a password is all there is, 15 characters or more [-]
SHORTEST = 15
LONGEST = 200
#: Fewer different characters than this are a pattern, not a password [-]
LEAST_VARIED = 5


class Account(Noun):
    """Somebody who may sign in."""

    name: str = Field(pattern=r"^[a-z0-9][a-z0-9._-]{0,29}$")
    role: Role
    hash: str = Field(pattern=r"^\$argon2id\$", max_length=300)
    era: int = Field(
        default=1, ge=1, strict=True, description="raised to end every session begun before"
    )


class Paired(Noun):
    """A phone that may count and send photos at one bench, until it is put away."""

    label: str = Field(min_length=1, max_length=30)
    bench: str = Field(max_length=28)
    by: str = Field(max_length=60, description="who paired it")
    token: str = Field(pattern=r"^[0-9a-f]{64}$", description="SHA-256 of what the phone holds")


def may(role: Role, least: Role) -> bool:
    """Whether a role may do what another may.

    Parameters
    ----------
    role : str
        The role somebody has.
    least : str
        The role that is needed at least.

    Returns
    -------
    bool
        True where it may.
    """
    return ROLES.index(role) >= ROLES.index(least)


def account_name(typed: str) -> str:
    """Give a name to sign in with as it is kept.

    Parameters
    ----------
    typed : str
        As it was typed; case and blanks around it do not count.

    Returns
    -------
    str
        The name.

    Raises
    ------
    InputError
        If it can be nobody's name.
    """
    name = typed.strip().lower()
    if not NAME.fullmatch(name) or name.startswith(PHONE):
        rule = "must be 1 to 30 letters a to z, digits, points and hyphens, a letter or digit first"
        raise SpecError("name", typed[:60], rule, "write it such as mara or bench-2")
    return name


def role_of(typed: str) -> Role:
    """Give the role of a name.

    Parameters
    ----------
    typed : str
        Its name.

    Returns
    -------
    str
        The role.

    Raises
    ------
    InputError
        If there is no such role.
    """
    known: dict[str, Role] = {role: role for role in ROLES}
    found = known.get(typed)
    if found is None:
        rule = f"must be one of {', '.join(ROLES)}"
        raise SpecError("role", typed[:60], rule, "choose one of these")
    return found


def same_form(password: str) -> str:
    """Give a password in the one form in which it is hashed, however a keyboard composes it.

    Parameters
    ----------
    password : str
        As it was typed.

    Returns
    -------
    str
        In Unicode's form NFKC, as NIST SP 800-63B asks.
    """
    return unicodedata.normalize("NFKC", password)


def refuse_weak(password: str, name: str) -> None:
    """Refuse a password that is soon guessed; what it was is never said.

    Parameters
    ----------
    password : str
        The password.
    name : str
        The account it is for.

    Raises
    ------
    InputError
        If it is too short, too long, a pattern, or little more than a name.
    """
    made = same_form(password)
    remedy = "take four words that do not belong together"
    if not SHORTEST <= len(made) <= LONGEST:
        rule = f"must be {SHORTEST} to {LONGEST} characters"
        raise SpecError("password", f"{len(made)} characters", rule, remedy)
    if any(not c.isprintable() for c in made):
        rule = "must hold only characters that can be seen, and blanks"
        raise SpecError("password", "another character", rule, remedy)
    rest = made.lower().replace(name, "").replace("strandwright", "").replace("password", "")
    if len(set(rest)) < LEAST_VARIED or len(rest) < SHORTEST // 2:
        rule = "must not be a pattern, or little more than a name"
        raise SpecError("password", "one of these", rule, remedy)
