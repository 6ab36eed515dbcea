"""The second schema: a log of any kind where only builds had one, blobs, and listings."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_SORTED = sa.String(40).with_variant(sa.String(40, collation="C"), "postgresql")


def upgrade() -> None:
    """Turn builds into logs of a kind, and make the tables that are new."""
    op.create_table(
        "log",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("subject", sa.String(40), nullable=False),
        sa.Column("plan_id", sa.String(40)),
        sa.Column("began_at", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_log"),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name="fk_log_plan_id_plan"),
    )
    op.create_index("ix_log_kind_subject", "log", ["kind", "subject"])
    op.execute(
        "INSERT INTO log (id, kind, subject, plan_id, began_at) "
        "SELECT id, 'build', job_id, plan_id, began_at FROM build"
    )
    _events("log_id", "log")
    op.drop_index("ix_build_job_id", "build")
    op.drop_table("build")
    op.create_table(
        "blob",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("media", sa.String(40), nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.Column("kept_at", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_blob"),
    )
    op.create_table(
        "listing",
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("id", _SORTED, nullable=False),
        sa.Column("owner", sa.String(40), nullable=False),
        sa.Column("status", sa.String(24), nullable=False),
        sa.Column("at", _SORTED, nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("summary", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("kind", "id", name="pk_listing"),
    )
    op.create_index("ix_listing_latest", "listing", ["kind", "at", "id"])
    op.create_index("ix_listing_status", "listing", ["kind", "status", "at", "id"])
    op.create_index("ix_listing_owner", "listing", ["kind", "owner", "at", "id"])


def downgrade() -> None:
    """Keep builds and their events; what the first schema cannot hold goes."""
    op.create_table(
        "build",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("job_id", sa.String(40), nullable=False),
        sa.Column("plan_id", sa.String(40), nullable=False),
        sa.Column("began_at", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_build"),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name="fk_build_plan_id_plan"),
    )
    op.create_index("ix_build_job_id", "build", ["job_id"])
    op.execute(
        "INSERT INTO build (id, job_id, plan_id, began_at) "
        "SELECT id, subject, plan_id, began_at FROM log WHERE kind = 'build'"
    )
    op.execute(
        "DELETE FROM event WHERE log_id IN (SELECT id FROM log WHERE kind <> 'build')"
    )
    _events("build_id", "build")
    for name in ("log", "blob", "listing"):
        op.drop_table(name)


def _events(column: str, home: str) -> None:
    """Hang the events on another table: rebuilt, since SQLite cannot change a foreign key."""
    old = "build_id" if column == "log_id" else "log_id"
    op.rename_table("event", "event_before")
    if op.get_bind().dialect.name == "postgresql":
        # There the names of keys outlive the table's, and the new table wants them.
        for name in ("pk_event", f"uq_event_{old}_seq"):
            op.execute(f"ALTER INDEX {name} RENAME TO {name}_before")
    op.create_table(
        "event",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column(column, sa.String(32), nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_event"),
        sa.ForeignKeyConstraint([column], [f"{home}.id"], name=f"fk_event_{column}_{home}"),
        sa.UniqueConstraint(column, "seq", name=f"uq_event_{column}_seq"),
    )
    op.execute(
        f"INSERT INTO event (id, {column}, seq, content) "
        f"SELECT id, {old}, seq, content FROM event_before"
    )
    op.drop_table("event_before")
