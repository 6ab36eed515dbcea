"""A PostgreSQL server of the tests' own: in a folder of its own, on a socket, without a port."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any

from strandwright.store.open import open_store

#: Speed before durability: what is lost with this machine's power is only a test.
SETTINGS = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off"


def programs() -> Path | None:
    """Find the folder of the server's programs: behind the path, or where Debian puts them."""
    found = shutil.which("initdb")
    if found is not None:
        return Path(found).resolve().parent
    versions = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return versions[-1].parent if versions else None


@dataclass
class Server:
    """A server that runs; gives a new database each time it is asked."""

    folder: Path
    _numbers: Iterator[int] = field(default_factory=lambda: count(1))
    _ready: str = ""

    def empty_database(self, like: str = "template1") -> str:
        """Make a database in which nothing is and give its address."""
        import psycopg

        name = f"t{next(self._numbers)}"
        with psycopg.connect(f"host={self.folder} user=sw dbname=postgres", autocommit=True) as c:
            c.execute(f"CREATE DATABASE {name} TEMPLATE {like}".encode())
        return f"postgresql://sw@/{name}?host={self.folder}"

    def database(self) -> str:
        """Make a database with the newest schema, copied from one that was made ready."""
        if not self._ready:
            address = self.empty_database()
            open_store(address).close()
            self._ready = address.split("?")[0].split("/")[-1]
        return self.empty_database(like=self._ready)


@contextmanager
def running(programs: Path) -> Generator[Server]:
    """Run a server; nothing of it is left afterwards."""
    # A socket's path may have 107 bytes, so the folder's must be short.
    folder = Path(tempfile.mkdtemp(prefix="sw-pg-"))
    who: dict[str, Any] = {}
    if os.geteuid() == 0:  # the server refuses to run as root
        user = pwd.getpwnam("postgres")
        os.chown(folder, user.pw_uid, user.pw_gid)
        who = {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}

    def run(name: str, *arguments: str) -> None:
        subprocess.run(
            [str(programs / name), *arguments],
            check=True,
            cwd=folder,
            stdout=subprocess.DEVNULL,
            **who,
        )

    data = str(folder / "d")
    try:
        how = ("-U", "sw", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync")
        run("initdb", "-D", data, *how)
        options = f"-c listen_addresses='' -k {folder} {SETTINGS}"
        log = str(folder / "log")
        run("pg_ctl", "-D", data, "-w", "-t", "30", "-l", log, "-o", options, "start")
        try:
            yield Server(folder)
        finally:
            run("pg_ctl", "-D", data, "stop", "-m", "immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
