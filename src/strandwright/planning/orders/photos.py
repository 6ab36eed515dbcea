"""Photos: kept by their bytes, under the digest of them."""

from __future__ import annotations

from strandwright.errors import SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.workshop.documents import Blob
from strandwright.workshop.kept import MEDIA


def keep_photo(desk: JobDesk, id: str, content: bytes) -> None:
    """Keep a photo under its digest; kept twice it is one.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        SHA-256 of the bytes, 64 hexadecimal digits.
    content : bytes
        JPEG or PNG.

    Raises
    ------
    InputError
        If it is neither by its bytes, too large, or has another digest.
    """
    media = next((name for name, head in MEDIA.items() if content.startswith(head)), "")
    if not media:
        rule = "must be a JPEG or PNG by its bytes"
        raise SpecError("photo", f"{len(content)} bytes", rule, "send a photo taken by a camera")
    desk.store.keep_blob(Blob(id, media, content, desk.now()))
