"""Certificates: what the shop's own authority signs for the computer at a bench, and its files."""

from __future__ import annotations

import ipaddress
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from strandwright.errors import SpecError
from strandwright.web.authority import (
    AUTHORITY,
    AUTHORITY_KEY,
    DAYS,
    address_in,
    key_text,
    key_uses,
    new_authority,
    new_key,
    pem,
    read_authority,
)
from strandwright.workshop.said import short

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

#: Files of the folder, beside those of the authority.
SERVER, SERVER_KEY = "bench.crt", "bench.key"
_NAME = re.compile(r"(?=.{1,253}$)(?!-)[a-z0-9-]{1,63}(?<!-)([.](?!-)[a-z0-9-]{1,63}(?<!-))*")


@dataclass(frozen=True)
class Made:
    """What was made.

    Attributes
    ----------
    folder : Path
        Where it lies.
    names : tuple of str
        Names and addresses the computer goes by.
    until : str
        Last day on which it is good.
    fingerprint : str
        SHA-256 of the authority's certificate, in pairs of digits.
    is_new_authority : bool
        Whether phones must be told of the authority.
    """

    folder: Path
    names: tuple[str, ...]
    until: str
    fingerprint: str
    is_new_authority: bool


def usual_folder() -> Path:
    """Give the folder where certificates lie when nothing else is said.

    Returns
    -------
    Path
        In the user's own data folder; not made here.
    """
    from platformdirs import user_data_path

    return user_data_path("strandwright", appauthor=False) / "certificates"


def need_names(typed: Sequence[str]) -> tuple[str, ...]:
    """Read the names and addresses a computer goes by.

    Parameters
    ----------
    typed : sequence of str
        As they were typed.

    Returns
    -------
    tuple of str
        In small letters, each once.

    Raises
    ------
    InputError
        If one is neither a name nor an address.
    """
    names: list[str] = []
    for text in typed:
        name = text.strip().lower().rstrip(".")
        address = address_in(name)
        if address is not None:
            name = str(address)
        elif not _NAME.fullmatch(name) or re.fullmatch(r"[0-9.]+", name):
            rule = "must be a name or an address of this computer, without port and slashes"
            raise SpecError("name", short(text), rule, "write it such as bench.home.arpa")
        if name not in names:
            names.append(name)
    if not names:
        raise SpecError("name", "nothing", "is missing", "say what phones call this computer")
    return tuple(names)


def make(names: Sequence[str], folder: Path, now: datetime, *, another: bool = False) -> Made:
    """Make a certificate for this computer, and the authority that signs it where there is none.

    Parameters
    ----------
    names : sequence of str
        Names and addresses it goes by.
    folder : Path
        Where it is to lie; made if it is not there.
    now : datetime
        The moment, with its offset from UTC.
    another : bool
        Whether to make another authority although there is one.

    Returns
    -------
    Made
        What was made.

    Raises
    ------
    InputError
        If a name cannot be used, the library is missing, or the authority that is there may not
        vouch for one of the names.
    """
    need_library()
    wanted = need_names(names)
    now = now.astimezone(UTC).replace(microsecond=0)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    is_new = another or not (folder / AUTHORITY_KEY).exists()
    if is_new:
        authority, key = new_authority(wanted, now)
        _write(folder / AUTHORITY_KEY, key_text(key), 0o600)
        _write(folder / AUTHORITY, pem(authority), 0o644)
    else:
        authority, key = read_authority(folder, wanted, now)
    own_key = new_key()
    own = _signed(wanted, own_key, authority, key, now)
    _write(folder / SERVER_KEY, key_text(own_key), 0o600)
    _write(folder / SERVER, pem(own) + pem(authority), 0o644)
    until = own.not_valid_after_utc.date().isoformat()
    return Made(folder, wanted, until, fingerprint(authority), is_new)


def fingerprint(certificate: x509.Certificate) -> str:
    """Give a certificate's SHA-256, as phones show it.

    Parameters
    ----------
    certificate : Certificate
        The certificate.

    Returns
    -------
    str
        32 pairs of hexadecimal digits with colons.
    """
    from cryptography.hazmat.primitives import hashes

    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def need_library() -> None:
    """Refuse where the library that makes and reads certificates is not installed.

    Raises
    ------
    InputError
        If it is not; says what to install.
    """
    try:
        import cryptography.x509  # noqa: F401  # pyright: ignore[reportUnusedImport]
    except ImportError as error:
        rule = "needs the library cryptography, which is not installed"
        remedy = "install it with pip install 'strandwright[listen]'"
        raise SpecError("certificate", "nothing", rule, remedy) from error


def _signed(
    names: tuple[str, ...],
    own_key: EllipticCurvePrivateKey,
    authority: x509.Certificate,
    key: EllipticCurvePrivateKey,
    now: datetime,
) -> x509.Certificate:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

    # No name of a host: names stand in the alternatives, and some would hold this to them too.
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "strandwright bench")])
    public = own_key.public_key()
    alternatives = [
        x509.DNSName(n) if address_in(n) is None else x509.IPAddress(ipaddress.ip_address(n))
        for n in names
    ]
    usage = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    whose = x509.SubjectKeyIdentifier.from_public_key(public)
    of = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.public_key())  # type: ignore[arg-type]
    begins = now - timedelta(hours=1)
    number = x509.random_serial_number()
    builder = (
        x509.CertificateBuilder(authority.subject, subject, public, number)
        .not_valid_before(begins)
        # Both ends count: a second less is DAYS whole days.
        .not_valid_after(begins + timedelta(days=DAYS, seconds=-1))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(key_uses(signs=False), critical=True)
        .add_extension(usage, critical=False)
        .add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
        .add_extension(whose, critical=False)
        .add_extension(of, critical=False)
    )
    return builder.sign(key, hashes.SHA256())


def _write(path: Path, content: bytes, mode: int) -> None:
    """Write a file whole or not at all, for nobody else to read from its first byte on."""
    beside = path.with_name(f"{path.name}.part")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, mode), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(beside, path)
