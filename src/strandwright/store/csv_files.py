"""CSV files: everything a store keeps, into a folder or into one zip."""

from __future__ import annotations

import contextlib
import os
import tempfile
import zipfile
from collections.abc import Generator
from pathlib import Path
from typing import IO, TextIO

from strandwright.errors import SpecError
from strandwright.planning.ports import Store
from strandwright.planning.spreadsheet.readme import README
from strandwright.planning.spreadsheet.table import SHEETS
from strandwright.planning.spreadsheet.writing import write_sheets
from strandwright.units import System

_OURS = "Everything strandwright keeps"


def write_folder(store: Store, folder: Path, system: System = "in") -> dict[str, int]:
    """Write every sheet into a folder; none of them where one cannot be written.

    Parameters
    ----------
    store : Store
        The store.
    folder : Path
        The folder; made where it is not there.
    system : str
        ``in`` or ``mm``.

    Returns
    -------
    dict
        From the name of each file to how many rows it has [-]

    Raises
    ------
    InputError
        If the folder cannot be used, or files of these names in it are somebody else's.
    """
    with _reported(folder):
        folder.mkdir(mode=0o700, exist_ok=True)
        _refuse_others(folder)
        with tempfile.TemporaryDirectory(prefix=".strandwright-", dir=folder) as beside:
            counts = _write(store, Path(beside), system)
            for path in sorted(Path(beside).iterdir()):
                os.replace(path, folder / path.name)
    return counts


def write_zip(store: Store, file: IO[bytes], system: System = "in") -> dict[str, int]:
    """Write every sheet into one zip.

    Parameters
    ----------
    store : Store
        The store.
    file : binary file
        Open for writing.
    system : str
        ``in`` or ``mm``.

    Returns
    -------
    dict
        From the name of each file in it to how many rows it has [-]
    """
    with tempfile.TemporaryDirectory(prefix="strandwright-") as beside:
        counts = _write(store, Path(beside), system)
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
            for path in sorted(Path(beside).iterdir()):
                packed.write(path, path.name)
    return counts


def _write(store: Store, folder: Path, system: System) -> dict[str, int]:
    with contextlib.ExitStack() as files:

        def opened(name: str) -> TextIO:
            # What customers had built is nobody else's business on a shared computer.
            handle = os.open(folder / name, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            return files.enter_context(open(handle, "w", encoding="utf-8", newline=""))

        return write_sheets(store.contents(), opened, system)


def _refuse_others(folder: Path) -> None:
    """Refuse to write over files that were not written here."""
    there = [sheet.file for sheet in SHEETS if (folder / sheet.file).exists()]
    readme = folder / README
    if readme.exists():
        with open(readme, encoding="utf-8", errors="replace") as file:
            if file.readline().startswith(_OURS):
                return
        there.append(README)
    if there:
        rule = "must be new or hold only what this command wrote, and holds other files"
        raise SpecError(str(folder), ", ".join(there[:3]), rule, "name another folder")


@contextlib.contextmanager
def _reported(folder: Path) -> Generator[None]:
    try:
        yield
    except OSError as error:
        rule = f"must be a folder that can be written: {(error.strerror or '').lower()}"
        raise SpecError(str(folder), folder.name, rule, "name another folder") from error
