"""Listening beyond loopback: the address, the certificate shown there, and the names it is for."""

from __future__ import annotations

import ipaddress
import os
import re
import socket
import ssl
import stat
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from strandwright.errors import SpecError
from strandwright.web.certificates import SERVER, SERVER_KEY, need_library, usual_folder
from strandwright.workshop.said import short

#: Ciphers of TLS 1.2 that keep what was said secret even if the key is lost; 1.3 has only such.
_CIPHERS = "ECDHE+AESGCM:ECDHE+CHACHA20"


@dataclass(frozen=True)
class Certificate:
    """A certificate that may be shown.

    Attributes
    ----------
    path, key : Path
        Its files.
    names : tuple of str
        Names and addresses it is for.
    until : datetime
        When it ends.
    """

    path: Path
    key: Path
    names: tuple[str, ...]
    until: datetime

    def is_for(self, host: str) -> bool:
        """Whether a Host header names one of its names, with whatever port.

        Parameters
        ----------
        host : str
            The header.

        Returns
        -------
        bool
            True where it does.
        """
        name = host_name(host)
        return name is not None and any(_is_named(name, own) for own in self.names)


def host_name(host: str) -> str | None:
    """Give the name in a Host header.

    Parameters
    ----------
    host : str
        The header.

    Returns
    -------
    str or None
        In small letters, an address in its usual form; None where it is no host.
    """
    found = re.fullmatch(r"(\[[0-9A-Fa-f:.]+\]|[A-Za-z0-9.-]+)(?::[0-9]{1,5})?", host)
    if found is None:
        return None
    name = found[1].lower().strip("[]")
    try:
        return str(ipaddress.ip_address(name))
    except ValueError:
        return name


def _is_named(name: str, own: str) -> bool:
    """Whether a name is one of a certificate; a star stands for one part, the first."""
    if own.startswith("*."):
        return name.partition(".")[2] == own[2:] and bool(name.partition(".")[0])
    return name == own


def read_certificate(certificate: str | None, key: str | None, now: datetime) -> Certificate:
    """Read the certificate to show, and refuse one that should not be shown.

    Parameters
    ----------
    certificate, key : str or None
        Files; both left out, those that ``strandwright certificate`` made.
    now : datetime
        The moment, with its offset from UTC.

    Returns
    -------
    Certificate
        May be shown.

    Raises
    ------
    InputError
        If there is none, it has ended or not begun, it names nobody, its key may be read by
        others, or the library is missing.
    """
    need_library()
    if (certificate is None) != (key is None):
        option = "--key" if key is None else "--certificate"
        raise SpecError(option, "nothing", "is missing", "give --certificate and --key together")
    folder = usual_folder()
    path = folder / SERVER if certificate is None else Path(certificate)
    secret = folder / SERVER_KEY if key is None else Path(key)
    if not path.is_file() or not secret.is_file():
        missing = path if not path.is_file() else secret
        rule = "must be there: beyond this computer the app is listened to over TLS only"
        remedy = "make it with strandwright certificate NAME, or give --certificate and --key"
        raise SpecError("--listen", short(str(missing)), rule, remedy)
    _refuse_open(secret)
    names, begins, until = _read(path)
    if not begins <= now <= until:
        rule = f"must be good now; it is from {begins.date()} to {until.date()}"
        raise SpecError("--certificate", path.name, rule, "make a new one")
    if not names:
        rule = "must say for which names it is, as subject alternative names"
        raise SpecError("--certificate", path.name, rule, "make another with names")
    return Certificate(path, secret, names, until)


def _refuse_open(key: Path) -> None:
    """Refuse a key that others may read."""
    if os.name == "posix" and stat.S_IMODE(key.stat().st_mode) & 0o077:
        rule = "must be for your own eyes: others may read or write the key"
        raise SpecError("--key", key.name, rule, f"take that from them: chmod 600 {key.name}")


def _read(path: Path) -> tuple[tuple[str, ...], datetime, datetime]:
    from cryptography import x509

    try:
        found = x509.load_pem_x509_certificates(path.read_bytes())[0]
        extensions = found.extensions
    except (OSError, ValueError, IndexError) as error:
        rule = "must be a certificate in PEM"
        raise SpecError("--certificate", path.name, rule, "give another file") from error
    try:
        names = extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return (), found.not_valid_before_utc, found.not_valid_after_utc
    dns = [name.lower() for name in names.get_values_for_type(x509.DNSName)]
    addresses = [str(a) for a in names.get_values_for_type(x509.IPAddress)]
    return (*dns, *addresses), found.not_valid_before_utc, found.not_valid_after_utc


def tls_context(certificate: Certificate) -> ssl.SSLContext:
    """Make what speaks TLS.

    Parameters
    ----------
    certificate : Certificate
        What is shown.

    Returns
    -------
    SSLContext
        TLS 1.2 and newer.

    Raises
    ------
    InputError
        If the key is not the certificate's.
    """
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_ciphers(_CIPHERS)
    context.options |= ssl.OP_NO_RENEGOTIATION | ssl.OP_NO_COMPRESSION
    try:
        # A key behind a password would stop here and ask.
        context.load_cert_chain(certificate.path, certificate.key, password="")
    except (ssl.SSLError, OSError, ValueError) as error:
        rule = "must be the certificate's own, in PEM and without a password"
        raise SpecError("--key", certificate.key.name, rule, "give the key it was made with") from (
            error
        )
    return context


def listen_at(place: str, usual: int) -> socket.socket:
    """Take an address and port to listen at.

    Parameters
    ----------
    place : str
        ``ADDRESS`` or ``ADDRESS:PORT``; an IPv6 address in brackets where a port follows.
    usual : int
        The port where none is said [-]

    Returns
    -------
    socket
        Bound.

    Raises
    ------
    InputError
        If that is no address of this computer, or the port is taken.
    """
    found = re.fullmatch(r"(?:\[([0-9A-Fa-f:.%\w]+)\]|([^\s:]+))(?::([0-9]{1,5}))?", place)
    bare = re.fullmatch(r"[0-9A-Fa-f:.]*:[0-9A-Fa-f:.]*:[0-9A-Fa-f:.]*", place)
    remedy = "write it such as 192.168.1.20 or 0.0.0.0:8471"
    if bare is not None:
        host, port = place, usual
    elif found is not None and int(found[3] or 0) <= 65535:
        host, port = found[1] or found[2], usual if found[3] is None else int(found[3])
    else:
        raise SpecError("--listen", short(place), "must be an address and perhaps a port", remedy)
    try:
        family, kind, _, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        taken = socket.socket(family, kind)
    except OSError as error:
        rule = "must be an address or a name of this computer"
        raise SpecError("--listen", short(place), rule, remedy) from error
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind(address)
    except OSError as error:
        taken.close()
        rule = f"must be this computer's own and free: {(error.strerror or '').lower()}"
        raise SpecError("--listen", short(place), rule, remedy) from error
    return taken


def moment() -> datetime:
    """Give the moment.

    Returns
    -------
    datetime
        UTC.
    """
    return datetime.now(UTC)
