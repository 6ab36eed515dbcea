"""A home for a browser that trusts one more authority, as a phone does that was told of it.

Chromium takes authorities of its user from a database of NSS in the home folder. The program that
writes such a database is seldom installed, but its library comes with the browser: this asks the
library itself, in a process of its own, for it can be begun only once in each.
"""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from pathlib import Path

#: What is trusted: an authority, for servers.
_TRUSTED_AUTHORITY = (1 << 3) | (1 << 4)


class _Trust(ctypes.Structure):
    _fields_ = [
        ("servers", ctypes.c_uint),
        ("mail", ctypes.c_uint),
        ("programs", ctypes.c_uint),
    ]


def trusting_home(home: Path, authority: Path) -> dict[str, str | float | bool]:
    """Make a home whose browser trusts an authority; gives the environment to start it in."""
    database = home / ".pki" / "nssdb"
    database.mkdir(parents=True)
    subprocess.run([sys.executable, __file__, str(database), str(authority)], check=True)
    return {**os.environ, "HOME": str(home)}


def _trust(database: str, authority: str) -> None:
    from cryptography import x509
    from cryptography.hazmat.primitives.serialization import Encoding

    content = x509.load_pem_x509_certificate(Path(authority).read_bytes())
    der = content.public_bytes(Encoding.DER)
    nss, mail = ctypes.CDLL("libnss3.so"), ctypes.CDLL("libsmime3.so")
    pointer, text = ctypes.c_void_p, ctypes.c_char_p
    mail.CERT_DecodeCertFromPackage.argtypes = [text, ctypes.c_int]
    mail.CERT_DecodeCertFromPackage.restype = pointer
    nss.PK11_GetInternalKeySlot.restype = pointer
    nss.CERT_GetDefaultCertDB.restype = pointer
    nss.PK11_InitPin.argtypes = [pointer, text, text]
    nss.PK11_ImportCert.argtypes = [pointer, pointer, ctypes.c_ulong, text, ctypes.c_int]
    nss.CERT_ChangeCertTrust.argtypes = [pointer, pointer, pointer]
    nss.CERT_DestroyCertificate.argtypes = [pointer]
    nss.PK11_FreeSlot.argtypes = [pointer]
    assert 0 == nss.NSS_InitReadWrite(f"sql:{database}".encode())
    slot = nss.PK11_GetInternalKeySlot()
    nss.PK11_InitPin(slot, None, b"")
    found = mail.CERT_DecodeCertFromPackage(der, len(der))
    assert 0 == nss.PK11_ImportCert(slot, found, 0, b"authority of a test", 0)
    trust = _Trust(_TRUSTED_AUTHORITY, 0, 0)
    assert 0 == nss.CERT_ChangeCertTrust(nss.CERT_GetDefaultCertDB(), found, ctypes.byref(trust))
    nss.CERT_DestroyCertificate(found)
    nss.PK11_FreeSlot(slot)
    assert 0 == nss.NSS_Shutdown()


if __name__ == "__main__":
    _trust(sys.argv[1], sys.argv[2])
