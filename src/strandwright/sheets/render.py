"""Render: stored sheet data to the bytes of a PDF, the same bytes for the same data."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Sequence
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from strandwright.errors import SheetError
from strandwright.planning.result import Plan
from strandwright.sheets.data import sheet_data

_HERE = files("strandwright.sheets")
_NAME = re.compile(r"(?:sheet|tag|bow|set|label|quote|day)_[0-9]{1,4}")


def render_sheet(data: dict[str, Any]) -> bytes:
    """Print a sheet from its stored data.

    Parameters
    ----------
    data : dict
        As :func:`strandwright.sheets.sheet_data` gave it, perhaps long ago.

    Returns
    -------
    bytes
        A PDF whose viewer is asked not to scale it; the same data gives the same bytes.

    Raises
    ------
    SheetError
        If the data's template is not known, or the page cannot be set.
    """
    return render_template(data)


def render_template(data: dict[str, Any]) -> bytes:
    """Set a page or more from stored data, by the template the data name.

    Parameters
    ----------
    data : dict
        Stored data of a sheet or a tag.

    Returns
    -------
    bytes
        A PDF; the same data gives the same bytes.

    Raises
    ------
    SheetError
        If the template is not known, or the page cannot be set.
    """
    return _at_true_scale(_set(data))


def render_together(parts: Sequence[dict[str, Any]]) -> bytes:
    """Set several sheets, one behind the other, in one file.

    Parameters
    ----------
    parts : sequence of dict
        Stored data of each.

    Returns
    -------
    bytes
        A PDF; the same data gives the same bytes.

    Raises
    ------
    SheetError
        If a template is not known, or a page cannot be set.
    """
    return _at_true_scale(*(_set(data) for data in parts))


def _set(data: dict[str, Any]) -> bytes:
    """Set a page or more; viewers may still scale it."""
    # Imported here: most commands print nothing, and these two take most of a second's quarter.
    import typst

    sources = {
        "main.typ": _template(data.get("template")),
        "data.json": json.dumps(data, ensure_ascii=False, allow_nan=False).encode(),
    }
    try:
        with as_file(_HERE / "fonts") as fonts:
            # A dictionary of files is taken too, though the types leave it out.
            pdf = typst.compile(
                sources,  # pyright: ignore[reportArgumentType]
                font_paths=[fonts],
                ignore_system_fonts=True,
                timestamp=0,
            )
    except RuntimeError as error:
        raise SheetError(
            f"the sheet could not be set: {error}; plan the job again and print the new sheet"
        ) from error
    return pdf


def write_sheet(plan: Plan, path: Path) -> None:
    """Print a plan's sheet to a file.

    Parameters
    ----------
    plan : Plan
        The plan.
    path : Path
        Where the PDF goes; a file that is there is replaced.

    Raises
    ------
    SheetError
        If the sheet cannot be set or the file cannot be written.
    """
    pdf = render_sheet(sheet_data(plan))
    try:
        path.write_bytes(pdf)
    except OSError as error:
        raise SheetError(
            f"the sheet could not be written to {path}: {error.strerror or error};"
            " choose a folder you may write to, or close the file if it is open"
        ) from error


def _template(name: object) -> bytes:
    """Read a template by its name; names come from stored data, so they are checked first."""
    if isinstance(name, str) and _NAME.fullmatch(name):
        path = _HERE / "templates" / f"{name}.typ"
        if path.is_file():
            return path.read_bytes()
    raise SheetError(
        f"this program has no sheet template '{name}'; print with the version that made the sheet,"
        " or plan the job again"
    )


def _at_true_scale(first: bytes, *behind: bytes) -> bytes:
    """Ask viewers to print without scaling, keeping the rest of their preferences."""
    from pypdf import PdfReader, PdfWriter
    from pypdf.generic import DictionaryObject, NameObject

    writer = PdfWriter(clone_from=io.BytesIO(first))
    for pdf in behind:
        writer.append(PdfReader(io.BytesIO(pdf)), import_outline=False)
    root = writer.root_object
    kept = root.get("/ViewerPreferences", DictionaryObject())
    preferences = DictionaryObject(kept.get_object() or {})
    preferences[NameObject("/PrintScaling")] = NameObject("/None")
    root[NameObject("/ViewerPreferences")] = preferences
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
