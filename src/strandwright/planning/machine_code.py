"""Machine code: whether drawing a bow runs a hundred times as fast on this computer.

Numba makes it, once for each installation, which takes about half a minute of one core; so it is
made in a process of its own while the app is already open, and used from the app's next start.
``STRANDWRIGHT_MACHINE_CODE=off`` leaves it alone. Nothing but the time of an answer depends on it.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from contextlib import suppress
from importlib.metadata import version
from pathlib import Path

from platformdirs import user_cache_path

from strandwright.bow import looking, machine, settling, stepping

VARIABLE = "STRANDWRIGHT_MACHINE_CODE"
_MADE = "made"


def use() -> bool:
    """Use machine code if it was made before; otherwise have it made for the next time.

    Returns
    -------
    bool
        Whether it is used from now on.
    """
    if os.environ.get(VARIABLE) == "off" or not machine.can_be_made():
        return False
    if (folder() / _MADE).exists():
        os.environ.setdefault("NUMBA_CACHE_DIR", str(folder()))
        return machine.switch_on()
    with suppress(OSError):
        _make_aside()
    return False


def folder() -> Path:
    """Give the folder the code of this very installation is kept in.

    Returns
    -------
    Path
        Another one for each version of the source, of Numba and of Python.
    """
    parts = [version("numba"), sys.version]
    for module in (looking, settling, stepping):
        source = Path(str(module.__file__))
        # Numba goes by the time of the file, so that this must, too.
        parts += [str(source), str(source.stat().st_mtime_ns), source.read_text(encoding="utf-8")]
    key = hashlib.sha256("\n".join(parts).encode()).hexdigest()[:16]
    return user_cache_path("strandwright", appauthor=False) / f"machine-code-{key}"


def make() -> bool:
    """Make machine code and keep it, in this process.

    Returns
    -------
    bool
        Whether it was made; not without Numba.
    """
    if not machine.can_be_made():
        return False
    place = folder()
    place.mkdir(parents=True, exist_ok=True)
    os.environ.setdefault("NUMBA_CACHE_DIR", str(place))
    if machine.make() is None:
        return False
    (place / _MADE).touch()
    return True


def _make_aside() -> None:
    """Make it in a process of its own that gives way to everything else."""
    code = "import os; getattr(os, 'nice', int)(15)\n"
    code += "from strandwright.planning.machine_code import make; make()"
    nowhere = subprocess.DEVNULL
    subprocess.Popen(  # this very interpreter, and nothing from outside
        [sys.executable, "-c", code], stdin=nowhere, stdout=nowhere, stderr=nowhere
    )
