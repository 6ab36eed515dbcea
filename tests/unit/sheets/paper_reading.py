"""Reading paper back: the records of stored data, and a PDF's text."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from typing import Any


def records(data: Any) -> Iterator[dict[str, Any]]:
    """Walk stored data and give every number's record."""
    if isinstance(data, dict):
        if "kind" in data and "text" in data:
            yield data
        else:
            for value in data.values():
                yield from records(value)
    elif isinstance(data, list):
        for value in data:
            yield from records(value)


def printed(pdf: bytes, tool: str) -> str:
    """Give a PDF's text as poppler reads it, blanks collapsed."""
    done = subprocess.run([tool, "-", "-"], input=pdf, capture_output=True, check=True)
    return re.sub(r"\s+", " ", done.stdout.decode())
