"""Certificates: what the shop's authority vouches for, and what may be shown to others."""

from __future__ import annotations

import contextlib
import ipaddress
import os
import socket
import ssl
import stat
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import load_pem_private_key
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from strandwright.errors import SpecError
from strandwright.web.authority import AUTHORITY, AUTHORITY_KEY
from strandwright.web.certificates import SERVER, SERVER_KEY, make
from strandwright.web.listening import listen_at, read_certificate, tls_context

NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)
NAMES = ("bench.home.arpa", "192.168.1.20", "fd00::20")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give a folder with a certificate for three names, good as of now."""
    folder = tmp_path / "certificates"
    make(NAMES, folder, datetime.now(UTC))
    return folder


def _read(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificates(path.read_bytes())[0]


def _verified(folder: Path, name: str, when: datetime) -> bool:
    """Ask another program's rules: those of the library that the web is verified by."""
    store = Store([_read(folder / AUTHORITY)])
    builder = PolicyBuilder().store(store).time(when.replace(tzinfo=None))
    try:
        subject = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        subject = x509.DNSName(name)
    try:
        builder.build_server_verifier(subject).verify(_read(folder / SERVER), [])
    except VerificationError:
        return False
    return True


@pytest.mark.skipif(os.name != "posix", reason="other systems keep files otherwise")
def test_the_keys_are_for_the_owners_eyes_from_the_first_byte_on(tmp_path):
    """Whatever the shell's mask says, nobody else reads a key, and none is half written."""
    before = os.umask(0)
    try:
        made = make(NAMES, tmp_path / "made", NOW)
    finally:
        os.umask(before)
    modes = {p.name: stat.S_IMODE(p.stat().st_mode) for p in made.folder.iterdir()}
    expected = {AUTHORITY: 0o644, AUTHORITY_KEY: 0o600, SERVER: 0o644, SERVER_KEY: 0o600}
    assert expected == modes
    assert 0o700 == stat.S_IMODE(made.folder.stat().st_mode)


def test_it_is_good_for_397_days_at_most(tmp_path):
    """Both ends count, as browsers count."""
    make(NAMES, tmp_path, NOW)
    own = _read(tmp_path / SERVER)
    length = own.not_valid_after_utc - own.not_valid_before_utc + timedelta(seconds=1)
    assert timedelta(days=397) == length
    assert own.not_valid_before_utc <= NOW


@pytest.mark.parametrize("name", NAMES)
def test_others_rules_take_it_for_each_of_its_names(folder, name):
    """Chain, names and constraints hold by another program's verifier."""
    now = datetime.now(UTC)
    assert _verified(folder, name, now)
    assert not _verified(folder, name, now + timedelta(days=398))
    assert not _verified(folder, name, now - timedelta(days=1))


@pytest.mark.parametrize("name", ["other.home.arpa", "192.168.1.21", "home.arpa"])
def test_it_is_for_no_other_name(folder, name):
    """Nor for the name above its own."""
    assert not _verified(folder, name, datetime.now(UTC))


@pytest.mark.parametrize("stolen", ["bank.example", "192.168.1.99", "2001:db8::1"])
def test_the_authority_vouches_for_nothing_else_even_if_its_key_is_stolen(folder, stolen):
    """A phone that trusts it is not opened to the whole web."""
    key = load_pem_private_key((folder / AUTHORITY_KEY).read_bytes(), None)
    authority = _read(folder / AUTHORITY)
    forged_key = ec.generate_private_key(ec.SECP256R1())
    own = _read(folder / SERVER)
    builder = x509.CertificateBuilder(
        authority.subject, own.subject, forged_key.public_key(), x509.random_serial_number(),
        own.not_valid_before_utc, own.not_valid_after_utc,
    )  # fmt: skip
    for extension in own.extensions:
        if extension.oid == x509.SubjectAlternativeName.oid:
            continue
        builder = builder.add_extension(extension.value, extension.critical)
    try:
        name: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(stolen))
    except ValueError:
        name = x509.DNSName(stolen)
    forged = builder.add_extension(x509.SubjectAlternativeName([name]), critical=False)
    (folder / SERVER).write_bytes(
        forged.sign(key, hashes.SHA256()).public_bytes(_pem())  # type: ignore[arg-type]
    )
    assert not _verified(folder, stolen, datetime.now(UTC))


def _pem():
    from cryptography.hazmat.primitives.serialization import Encoding

    return Encoding.PEM


@pytest.mark.parametrize(("names", "stolen"), [(("bench.home.arpa",), "10.0.0.1"),
                                               (("10.0.0.1",), "bank.example")])  # fmt: skip
def test_a_kind_of_name_it_was_not_made_with_is_closed_altogether(tmp_path, names, stolen):
    """Without any address it vouches for no address; without any name for no name."""
    make(names, tmp_path, datetime.now(UTC))
    assert _verified(tmp_path, names[0], datetime.now(UTC))
    test_the_authority_vouches_for_nothing_else_even_if_its_key_is_stolen(tmp_path, stolen)


def test_made_again_the_authority_stays_and_phones_need_not_be_told(tmp_path):
    """A year later a new key and certificate, under the same fingerprint."""
    first = make(NAMES, tmp_path, NOW)
    old = (tmp_path / SERVER_KEY).read_bytes()
    again = make(NAMES[:2], tmp_path, NOW + timedelta(days=390))
    assert (True, False) == (first.is_new_authority, again.is_new_authority)
    assert first.fingerprint == again.fingerprint
    assert old != (tmp_path / SERVER_KEY).read_bytes()
    assert _verified(tmp_path, NAMES[0], NOW + timedelta(days=391))


def test_another_name_needs_another_authority(tmp_path):
    """It says so rather than make what no browser would take."""
    first = make(NAMES, tmp_path, NOW)
    with pytest.raises(SpecError, match="--new-authority"):
        make(("back.home.arpa",), tmp_path, NOW)
    second = make(("back.home.arpa",), tmp_path, NOW, another=True)
    assert first.fingerprint != second.fingerprint


def test_an_authority_that_would_end_before_what_it_signs_is_not_used(tmp_path):
    """Five years on a new one is asked for."""
    make(NAMES, tmp_path, NOW)
    with pytest.raises(SpecError, match="must be good for as long"):
        make(NAMES, tmp_path, NOW + timedelta(days=4.5 * 365))


@pytest.mark.parametrize(
    "name", ["", " ", "a/b", "https://bench", "bench:8471", "-a", "a_b", "1.2.3", "1.2.3.4.5", "é"]
)
def test_what_is_no_name_is_refused(tmp_path, name):
    """Before anything is written."""
    with pytest.raises(SpecError):
        make((name,), tmp_path / "none", NOW)
    assert not (tmp_path / "none").exists()


# ------------------------------------------------------------------------------------- showing it


def test_what_was_made_may_be_shown(folder):
    """Its names are those the app answers to, in whatever form a Host header has them."""
    found = read_certificate(str(folder / SERVER), str(folder / SERVER_KEY), datetime.now(UTC))
    assert NAMES == found.names
    for host in ("bench.home.arpa:8471", "192.168.1.20", "[fd00:0:0::20]:1", "BENCH.HOME.ARPA"):
        assert found.is_for(host)
    for host in ("x.bench.home.arpa", "home.arpa", "192.168.1.2", "[fd00::2]", "", "a b", "[x"):
        assert not found.is_for(host)


@pytest.mark.skipif(os.name != "posix", reason="other systems keep files otherwise")
def test_a_key_that_others_may_read_is_not_used(folder):
    """It may have been copied."""
    (folder / SERVER_KEY).chmod(0o640)
    with pytest.raises(SpecError, match="chmod 600"):
        read_certificate(str(folder / SERVER), str(folder / SERVER_KEY), datetime.now(UTC))


@pytest.mark.parametrize("days", [-1, 398])
def test_a_certificate_that_is_not_good_now_is_not_shown(folder, days):
    """Nobody is taught to click a warning away."""
    with pytest.raises(SpecError, match="must be good now"):
        read_certificate(
            str(folder / SERVER), str(folder / SERVER_KEY), datetime.now(UTC) + timedelta(days)
        )


def test_half_of_it_and_none_of_it_are_told_apart(folder, monkeypatch):
    """A certificate without a key, a file that is not there, one that is none."""
    now = datetime.now(UTC)
    with pytest.raises(SpecError, match="--certificate and --key together"):
        read_certificate(str(folder / SERVER), None, now)
    with pytest.raises(SpecError, match="strandwright certificate NAME"):
        read_certificate(str(folder / "none.crt"), str(folder / SERVER_KEY), now)
    (folder / "none.crt").write_text("no certificate")
    with pytest.raises(SpecError, match="must be a certificate in PEM"):
        read_certificate(str(folder / "none.crt"), str(folder / SERVER_KEY), now)


def test_another_certificates_key_is_refused(folder):
    """Before a port is taken."""
    found = read_certificate(str(folder / SERVER), str(folder / AUTHORITY_KEY), datetime.now(UTC))
    with pytest.raises(SpecError, match="must be the certificate's own"):
        tls_context(found)


@pytest.mark.parametrize(
    ("version", "taken"), [(ssl.TLSVersion.TLSv1_2, True), (ssl.TLSVersion.TLSv1_1, False)]
)
def test_old_tls_is_not_spoken(folder, version, taken):
    """1.2 and 1.3 only, and 1.2 with forward secrecy."""
    found = read_certificate(str(folder / SERVER), str(folder / SERVER_KEY), datetime.now(UTC))
    context = tls_context(found)
    listener = socket.create_server(("127.0.0.1", 0))

    def answer() -> None:
        raw, _ = listener.accept()
        with raw, contextlib.suppress(ssl.SSLError, OSError):
            context.wrap_socket(raw, server_side=True).close()

    waiting = threading.Thread(target=answer)
    waiting.start()
    client = ssl.create_default_context(cafile=str(folder / AUTHORITY))
    client.set_ciphers("ALL:@SECLEVEL=0")
    with contextlib.nullcontext() if taken else pytest.warns(DeprecationWarning):
        client.minimum_version = client.maximum_version = version
    with socket.create_connection(listener.getsockname()) as raw:
        if taken:
            with client.wrap_socket(raw, server_hostname=NAMES[0]) as spoken:
                assert "ECDHE" in str(spoken.cipher())
        else:
            with pytest.raises((ssl.SSLError, OSError)):
                client.wrap_socket(raw, server_hostname=NAMES[0])
    waiting.join()
    listener.close()


# -------------------------------------------------------------------------------------- addresses


@pytest.mark.parametrize("place", ["127.0.0.1:0", "[::1]:0", "localhost:0"])
def test_an_address_of_this_computer_can_be_listened_at(place):
    """With its port behind it."""
    try:
        with listen_at(place, 8471) as bound:
            assert bound.getsockname()[1] > 0
    except SpecError:
        if place != "[::1]:0":
            raise
        pytest.skip("this computer has no IPv6")


@pytest.mark.parametrize(
    "place", ["", "192.0.2.77:0", "127.0.0.1:99999", "a b", "host:port", "[127.0.0.1", "x:1:y",
              "no-such-name.invalid:0"]
)  # fmt: skip
def test_another_computers_address_is_refused(place):
    """Told at the option, with an example."""
    with pytest.raises(SpecError) as refused:
        listen_at(place, 8471)
    assert "--listen" == refused.value.field


def test_a_port_that_is_taken_is_told_of():
    """Nothing listens elsewhere instead."""
    with socket.create_server(("127.0.0.1", 0)) as first:
        port = first.getsockname()[1]
        with pytest.raises(SpecError, match="must be this computer's own and free"):
            listen_at(f"127.0.0.1:{port}", 8471)
