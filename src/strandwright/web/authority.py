"""The shop's own authority: what vouches for its certificates, and for nothing else.

It can vouch for the names it was made with and for no others: that stands in its own certificate
as a constraint, so a phone that trusts it trusts nothing else by it, even if its key were stolen.
"""

from __future__ import annotations

import ipaddress
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from strandwright.errors import SpecError

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

#: CA/Browser Forum, ballot SC31: browsers take no server's certificate that is good for longer.
DAYS = 397
#: The authority outlives its certificates, so that phones need not be told of a new one each year.
AUTHORITY_DAYS = 5 * 365
#: Its files in the folder of certificates.
AUTHORITY, AUTHORITY_KEY = "authority.crt", "authority.key"


def new_authority(
    names: tuple[str, ...], now: datetime
) -> tuple[x509.Certificate, EllipticCurvePrivateKey]:
    """Make an authority that may vouch for these names and for nothing else.

    Parameters
    ----------
    names : tuple of str
        Names and addresses.
    now : datetime
        The moment, UTC.

    Returns
    -------
    certificate : Certificate
        Its own.
    key : EllipticCurvePrivateKey
        What it signs with.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.x509.oid import NameOID

    key = new_key()
    called = f"strandwright at {names[0]}"[:64]
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, called)])
    public = key.public_key()
    whose = x509.SubjectKeyIdentifier.from_public_key(public)
    builder = (
        x509.CertificateBuilder(name, name, public, x509.random_serial_number())
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(key_uses(signs=True), critical=True)
        .add_extension(_only(names), critical=True)
        .add_extension(whose, critical=False)
    )
    return builder.sign(key, hashes.SHA256()), key


def _only(names: tuple[str, ...]) -> x509.NameConstraints:
    """Constrain an authority to these names; of a kind that has none, to nothing at all."""
    from cryptography import x509

    dns: list[x509.GeneralName] = [x509.DNSName(n) for n in names if address_in(n) is None]
    ips: list[x509.GeneralName] = [
        x509.IPAddress(ipaddress.ip_network(n)) for n in names if address_in(n) is not None
    ]
    nobody = x509.DNSName("invalid")  # RFC 6761: resolves nowhere
    nowhere: list[x509.GeneralName] = [
        x509.IPAddress(ipaddress.ip_network(n)) for n in ("0.0.0.0/0", "::/0")
    ]
    permitted = [*(dns or [nobody]), *ips]
    return x509.NameConstraints(permitted, None if ips else nowhere)


def read_authority(
    folder: Path, names: tuple[str, ...], now: datetime
) -> tuple[x509.Certificate, EllipticCurvePrivateKey]:
    """Read the authority of a folder, if it may vouch for these names for long enough.

    Parameters
    ----------
    folder : Path
        Where it lies.
    names : tuple of str
        Names and addresses.
    now : datetime
        The moment, UTC.

    Returns
    -------
    certificate : Certificate
        Its own.
    key : EllipticCurvePrivateKey
        What it signs with.

    Raises
    ------
    InputError
        If it is none, ends too soon, or may not vouch for one of the names.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    remedy = "make a new authority with --new-authority, and tell the phones of it"
    try:
        key = load_pem_private_key((folder / AUTHORITY_KEY).read_bytes(), None)
        authority = x509.load_pem_x509_certificate((folder / AUTHORITY).read_bytes())
    except (OSError, ValueError, TypeError) as error:
        rule = "must be the certificate of an authority with its key"
        raise SpecError("authority", str(folder), rule, remedy) from error
    if not isinstance(key, EllipticCurvePrivateKey) or key.public_key() != authority.public_key():
        rule = "must be the certificate of an authority with its key"
        raise SpecError("authority", str(folder), rule, remedy)
    if authority.not_valid_after_utc < now + timedelta(days=DAYS):
        rule = "must be good for as long as what it signs"
        raise SpecError("authority", authority.not_valid_after_utc.isoformat(), rule, remedy)
    known = _vouched(authority)
    for name in names:
        if name not in known:
            rule = f"must be a name that the authority there vouches for: {', '.join(known)}"
            raise SpecError("name", name, rule, remedy)
    return authority, key


def _vouched(authority: x509.Certificate) -> tuple[str, ...]:
    """Give the names an authority may vouch for."""
    from cryptography import x509

    try:
        only = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    except x509.ExtensionNotFound:
        return ()
    return tuple(
        str(name.value).removesuffix("/32").removesuffix("/128")
        for name in only.permitted_subtrees or ()
        if isinstance(name, x509.DNSName | x509.IPAddress)
    )


def key_uses(*, signs: bool) -> x509.KeyUsage:
    """Say what a key is for.

    Parameters
    ----------
    signs : bool
        Whether it signs certificates; otherwise it proves who a server is.

    Returns
    -------
    KeyUsage
        Nothing else.
    """
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs,
        crl_sign=signs,
        encipher_only=False,
        decipher_only=False,
    )


def new_key() -> EllipticCurvePrivateKey:
    """Make a key on the curve P-256, which every browser takes.

    Returns
    -------
    EllipticCurvePrivateKey
        The key.
    """
    from cryptography.hazmat.primitives.asymmetric import ec

    return ec.generate_private_key(ec.SECP256R1())


def key_text(key: EllipticCurvePrivateKey) -> bytes:
    """Write a key as it stands in a file.

    Parameters
    ----------
    key : EllipticCurvePrivateKey
        The key.

    Returns
    -------
    bytes
        PEM, without a password: the file is for its owner's eyes.
    """
    from cryptography.hazmat.primitives import serialization as form

    return key.private_bytes(form.Encoding.PEM, form.PrivateFormat.PKCS8, form.NoEncryption())


def pem(certificate: x509.Certificate) -> bytes:
    """Write a certificate as it stands in a file.

    Parameters
    ----------
    certificate : Certificate
        The certificate.

    Returns
    -------
    bytes
        PEM.
    """
    from cryptography.hazmat.primitives.serialization import Encoding

    return certificate.public_bytes(Encoding.PEM)


def address_in(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    """Read a name as an address.

    Parameters
    ----------
    name : str
        The name.

    Returns
    -------
    IPv4Address or IPv6Address or None
        None where it is a name.
    """
    try:
        return ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return None
