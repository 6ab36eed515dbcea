"""A process that has loaded the program and splits servers off itself.

Most of what a server takes to start is loading its modules. One that is split off runs the very
command ``strandwright open``, in a process, with a log and with a store of its own; it is signalled
and killed as any other.
"""

from __future__ import annotations

import atexit
import contextlib
import gc
import importlib
import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

#: What a server has loaded once it has answered.
MODULES = (
    "strandwright.cli.main",
    "strandwright.cli.open",
    "strandwright.planning.desk.builds",
    "strandwright.planning.machine_code",
    "strandwright.store.open",
    "strandwright.web.serve",
    "uvicorn.protocols.http.auto",
    "uvicorn.protocols.websockets.auto",
    "uvicorn.lifespan.on",
    "uvicorn.loops.auto",
    "anyio._backends._asyncio",
    "pydantic.v1",
    "sqlalchemy.dialects.sqlite.pysqlite",
    "sqlite3",
    "alembic.command",
)
#: A look whether a process has ended is repeated after this [s]
LOOK = 0.01


@dataclass
class Server:
    """A server that was split off, with what the tests need of a process."""

    nursery: Nursery
    pid: int

    def poll(self) -> int | None:
        """Give its exit code, or None while it runs."""
        return self.nursery.ask("poll", pid=self.pid)["code"]

    def send_signal(self, number: int) -> None:
        """Send it a signal."""
        os.kill(self.pid, number)

    def terminate(self) -> None:
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)

    def wait(self, timeout: float = 60.0) -> int:
        """Wait until it has ended; gives its exit code."""
        until = time.monotonic() + timeout
        while (code := self.poll()) is None:
            if time.monotonic() > until:
                raise subprocess.TimeoutExpired("strandwright open", timeout)
            time.sleep(LOOK)
        return code


class Nursery:
    """The process that servers are split off from, seen from the tests."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        atexit.register(self.close)

    def start(self, arguments: list[str], log: Path) -> Server:
        """Start a server; what it prints goes to its log."""
        told = self.ask("start", arguments=arguments, log=str(log), environment=dict(os.environ))
        return Server(self, told["pid"])

    def draw(self, example: str) -> None:
        """Look for the bows of an example, once, so that servers after this know them.

        They are found the same way and kept by the program itself; a server would need ten
        seconds of processor time for them.
        """
        self.ask("draw", example=example)

    def ask(self, what: str, **of: Any) -> dict[str, Any]:
        """Have something done there."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps({"what": what, **of}) + "\n")
        self._process.stdin.flush()
        return json.loads(self._process.stdout.readline())

    def close(self) -> None:
        """End it, and servers that were left."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait()
        self._process.stdout.close()


@cache
def nursery() -> Nursery:
    """Give the nursery of this process of tests."""
    return Nursery()


def know_bow(example: str) -> None:
    """Have servers that start after this know the bows of an example."""
    if hasattr(os, "fork"):
        nursery().draw(example)


def _split_off(arguments: list[str], log: str, environment: dict[str, str]) -> int:
    """Run the program in a process of its own; gives the process."""
    pid = os.fork()
    if pid:
        return pid
    code = 1
    try:
        kept = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.dup2(kept, 1)
        os.dup2(kept, 2)
        os.environ.clear()
        os.environ.update(environment)
        sys.argv = ["strandwright", *arguments]
        from strandwright.cli.main import main

        main()
        code = 0
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else int(left.code is not None)
    finally:
        with contextlib.suppress(OSError, ValueError):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(code)


@cache
def _draw(example: str) -> None:
    """Look for the bows of an example; the program keeps what it found."""
    from strandwright.planning.bow.answers import answer_bow
    from strandwright.planning.examples import example as job_of
    from strandwright.planning.plan_line import plan_line

    job = job_of(example)
    answer_bow(job, plan_line(job))


def _ended(pid: int, codes: dict[int, int]) -> int | None:
    """Give the exit code of a server, negative for the signal that ended it."""
    if pid not in codes:
        found, status = os.waitpid(pid, os.WNOHANG)
        if found == 0:
            return None
        codes[pid] = os.waitstatus_to_exitcode(status)
    return codes[pid]


def _serve() -> None:
    """Split servers off as the tests ask, until they ask no more."""
    # What is typed to end the tests is for them; servers end with their tests.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for module in MODULES:
        importlib.import_module(module)
    gc.freeze()
    started: list[int] = []
    codes: dict[int, int] = {}
    for line in sys.stdin:
        asked = json.loads(line)
        answer: dict[str, Any] = {}
        match asked.pop("what"):
            case "start":
                started.append(_split_off(**asked))
                answer["pid"] = started[-1]
            case "draw":
                _draw(**asked)
            case _:
                answer["code"] = _ended(asked["pid"], codes)
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()
    for pid in started:
        if _ended(pid, codes) is None:
            os.kill(pid, signal.SIGKILL)


if __name__ == "__main__":
    _serve()
