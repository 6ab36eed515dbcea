"""Accounts: names, roles in their order, and passwords that are not soon guessed."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from strandwright.errors import SpecError
from strandwright.workshop.account import (
    MEANINGS,
    ROLES,
    SHORTEST,
    Account,
    account_name,
    may,
    refuse_weak,
    role_of,
    same_form,
)
from strandwright.workshop.events import TYPES, make_event, refuse_stranger

GOOD = "wax heron lantern gravel"


@pytest.mark.parametrize("typed", ["mara", " Mara ", "MARA"])
def test_case_and_blanks_of_a_name_do_not_count(typed):
    """A name is typed with wax on the fingers."""
    assert "mara" == account_name(typed)


@pytest.mark.parametrize(
    "typed", ["", " ", "-mara", "ma ra", "mära", "m" * 31, "phone.0123456789abcdef", "a/b", "a\n"]
)
def test_what_can_be_nobodys_name_is_refused(typed):
    """No name may look like a phone's, hold a slash, or be told apart by an accent only."""
    if typed == "a\n":  # a line's end around a name does not count
        assert "a" == account_name(typed)
        return
    with pytest.raises(SpecError):
        account_name(typed)


def test_each_role_may_what_those_before_it_may_and_no_more():
    """The order of the roles is the whole of the rule."""
    for place, role in enumerate(ROLES):
        assert [True] * (place + 1) + [False] * (len(ROLES) - place - 1) == [
            may(role, least) for least in ROLES
        ]


def test_each_role_says_what_it_is_for():
    """The help and the screen take their words from here."""
    assert list(ROLES) == list(MEANINGS)
    with pytest.raises(SpecError, match="must be one of looker-on, counter, technician, owner"):
        role_of("admin")


@pytest.mark.parametrize(
    "password",
    [
        "short",
        "a" * (SHORTEST - 1),
        "a" * 40,
        "abab" * 10,
        "mara" * 10,
        "strandwright password",
        "with a\ttab in the middle",
        "with a\0zero in the middle",
        "x" * 201,
    ],
)
def test_a_password_that_is_soon_guessed_is_refused(password):
    """Too short, a pattern, a name: and what was typed is never said again."""
    with pytest.raises(SpecError) as refused:
        refuse_weak(password, "mara")
    assert password not in str(refused.value)


@pytest.mark.parametrize("password", [GOOD, "Ωmega pålæg grün 42", "x7#Qp!v9Lm2$Rt"[:14] + "zz"])
def test_a_password_may_hold_blanks_and_any_letter(password):
    """There is no rule of so many digits and signs."""
    refuse_weak(password, "mara")


def test_a_password_is_the_same_however_a_keyboard_composes_it():
    """An accent typed by itself and one in its letter are the same password."""
    assert same_form("e\u0301") == same_form("\u00e9")


def test_an_account_holds_nothing_but_an_argon2id_hash():
    """A plain text or another kind of hash is never kept by mistake."""
    with pytest.raises(ValidationError):
        Account(name="mara", role="owner", hash=GOOD)
    with pytest.raises(ValidationError):
        Account(name="mara", role="owner", hash="$2b$12$" + "a" * 53)


def test_the_audit_log_holds_its_own_events_and_nobody_takes_one_back():
    """A line of it cannot be withdrawn, and none of its lines goes into another log."""
    assert "withdrawn" not in TYPES["audit"]
    event = make_event(
        "0" * 32, "signed-in", {"name": "mara"}, at="2026-03-02T09:00:00Z", by="mara at front"
    )
    assert "signed-in" == event.type
    with pytest.raises(SpecError):
        refuse_stranger("build", "signed-in")
    with pytest.raises(SpecError):
        refuse_stranger("audit", "locked")
