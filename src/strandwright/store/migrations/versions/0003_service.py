"""The third schema: what became of a line is a log, where every entry wrote a document whole."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

_DOCUMENT = sa.table(
    "document",
    *map(sa.column, ("kind", "id", "revision", "content", "saved_at", "put_away")),
)
_LOG = sa.table("log", *map(sa.column, ("id", "kind", "subject", "plan_id", "began_at")))
_EVENT = sa.table("event", *map(sa.column, ("id", "log_id", "seq", "content")))
_LISTING = sa.table("listing", sa.column("kind"))


def upgrade() -> None:
    """Write the newest document of each line as the events of a log."""
    connection, d = op.get_bind(), _DOCUMENT.c
    query = sa.select(d.id, d.content).where(d.kind == "service").order_by(d.id, d.revision)
    newest = {row.id: row.content for row in connection.execute(query)}
    for build, content in newest.items():
        entries: list[dict[str, Any]] = json.loads(content)["entries"]
        if not entries:
            continue
        log = hashlib.sha256(f"service {build}".encode()).hexdigest()[:32]
        head = {"id": log, "kind": "service", "subject": build, "began_at": entries[0]["at"]}
        connection.execute(_LOG.insert().values(head))
        rows = [
            {"id": e["id"], "log_id": log, "seq": seq, "content": _text(_event(e))}
            for seq, e in enumerate(entries, start=1)
        ]
        connection.execute(_EVENT.insert(), rows)
    connection.execute(_DOCUMENT.delete().where(d.kind == "service"))


def downgrade() -> None:
    """Write each log as one document, and take it away."""
    connection, t, e = op.get_bind(), _LOG.c, _EVENT.c
    logs = connection.execute(sa.select(t.id, t.subject).where(t.kind == "service")).all()
    for log, build in logs:
        query = sa.select(e.content).where(e.log_id == log).order_by(e.seq)
        entries = [_entry(json.loads(text)) for (text,) in connection.execute(query)]
        connection.execute(_EVENT.delete().where(e.log_id == log))
        connection.execute(_LOG.delete().where(t.id == log))
        if entries:
            document = {
                "kind": "service", "id": build, "revision": 1, "put_away": False,
                "content": _text({"format": 1, "entries": entries}),
                "saved_at": max(entry["at"] for entry in entries),
            }  # fmt: skip
            connection.execute(_DOCUMENT.insert().values(document))
    connection.execute(_LISTING.delete().where(_LISTING.c.kind == "service"))


def _event(entry: dict[str, Any]) -> dict[str, Any]:
    """An entry has its shots beside what it says, an event within."""
    body = entry["body"] | ({"after_shots": entry["shots"]} if entry["shots"] else {})
    return {key: value for key, value in entry.items() if key != "shots"} | {"body": body}


def _entry(event: dict[str, Any]) -> dict[str, Any]:
    body = dict(event["body"])
    shots = body.pop("after_shots", 0)
    return {
        "id": event["id"], "type": event["type"], "version": event["version"],
        "at": event["at"], "shots": shots, "by": event["by"], "body": body,
    }  # fmt: skip


def _text(table: dict[str, Any]) -> str:
    return json.dumps(table, separators=(",", ":"))
