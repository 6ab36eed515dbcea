"""A bench that answers others: over TLS, with a certificate of its own, to who signs in."""

from __future__ import annotations

import http.client
import json
import ssl
import subprocess
import sys
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

from bench_server import PATIENCE, free_port

from strandwright.planning.people.accounts import People
from strandwright.store.open import open_store
from strandwright.web.authority import AUTHORITY
from strandwright.web.certificates import SERVER, SERVER_KEY, make

PASSWORD = "wax heron lantern gravel"
#: Names and addresses the certificate is for; tests reach it by the address.
NAMES = ("bench.home.arpa", "127.0.0.1")
#: Who may sign in, and as what.
PEOPLE = {"olga": "owner", "tess": "technician", "cass": "counter"}


def make_shop(folder: Path, store: str) -> None:
    """Make a certificate and the accounts of a shop."""
    make(NAMES, folder, datetime.now(UTC))
    opened = open_store(store)
    people = People(opened)
    for name, role in PEOPLE.items():
        people.add(name, role, PASSWORD, by="test")
    opened.close()


@dataclass
class GuardedBench:
    """The program as a shop with phones runs it."""

    folder: Path
    store: str
    bench: str = "front"
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None
    cookie: str = ""

    @property
    def url(self) -> str:
        """Where it answers."""
        return f"https://127.0.0.1:{self.port}"

    @property
    def log(self) -> Path:
        """What it printed."""
        return self.folder / f"{self.bench}.log"

    def start(self) -> None:
        """Start it and wait until it answers."""
        files = ["--certificate", self.folder / SERVER, "--key", self.folder / SERVER_KEY]
        place = ["--listen", f"127.0.0.1:{self.port}", "--bench", self.bench, "--no-browser"]
        command = [sys.executable, "-m", "strandwright", *place, *files, "--store", self.store]
        with self.log.open("ab") as said:
            self.process = subprocess.Popen(list(map(str, command)), stdout=said, stderr=said)
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and self.process.poll() is None:
            try:
                self.ask("GET", "/api/session")
                return
            except OSError:
                time.sleep(0.05)
        raise AssertionError(f"the server did not start: {self.log.read_text()}")

    def stop(self) -> None:
        """End it."""
        if self.process is not None and self.process.poll() is None:
            self.process.terminate()
            self.process.wait(20)

    def connection(self) -> http.client.HTTPSConnection:
        """Give a connection that holds it to its certificate."""
        trusted = ssl.create_default_context(cafile=str(self.folder / AUTHORITY))
        return http.client.HTTPSConnection("127.0.0.1", self.port, timeout=30, context=trusted)

    def ask(self, method: str, path: str, body: Any = None) -> tuple[int, Any]:
        """Ask as a program does, signed in where :meth:`sign_in` was; gives status and answer."""
        headers = {"origin": self.url, "content-type": "application/json", "cookie": self.cookie}
        sent = None if body is None else json.dumps(body).encode()
        line = self.connection()
        try:
            line.request(method, path, sent, headers)
            answer = line.getresponse()
            said = answer.read()
            self.cookie = (answer.headers["set-cookie"] or self.cookie).split(";")[0]
            return answer.status, json.loads(said) if said else None
        finally:
            line.close()

    def sign_in(self, name: str) -> None:
        """Sign a program in."""
        status, _ = self.ask("POST", "/api/session", {"name": name, "password": PASSWORD})
        assert 200 == status

    def begin(self, example: str = "RIDGE-1") -> str:
        """Keep a job and begin to build it, its posts set; gives the build."""
        status, kept = self.ask("POST", "/api/jobs", {"example": example})
        assert 200 == status, kept
        build = uuid4().hex
        start = {"build": build, "event": uuid4().hex, "at": "2026-11-25T13:00:00Z"}
        status, advice = self.ask("POST", f"/api/jobs/{kept['id']}/builds", start)
        assert 200 == status, advice
        self.record(build, "posts-set", outside=advice["act"]["ask"]["suggest"])
        return build

    def record(self, build: str, type: str, **body: Any) -> dict[str, Any]:
        """Record an act; gives the advice."""
        at = datetime.now(UTC).isoformat()
        event = {"id": uuid4().hex, "type": type, "at": at, "body": body}
        status, answer = self.ask("POST", f"/api/builds/{build}/events", {"events": [event]})
        assert 200 == status, answer
        return answer["advice"]
