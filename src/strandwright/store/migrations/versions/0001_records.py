"""The first schema: documents with revisions, plans, builds with their logs, and the mark."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "mark",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("value", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_mark"),
    )
    op.execute("INSERT INTO mark (id, value) VALUES (1, 0)")
    op.create_table(
        "document",
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("saved_at", sa.String(40), nullable=False),
        sa.Column("put_away", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("kind", "id", "revision", name="pk_document"),
    )
    op.create_table(
        "plan",
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("job_id", sa.String(40), nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("model_version", sa.Integer, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_plan"),
    )
    op.create_index("ix_plan_job_id", "plan", ["job_id"])
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
    op.create_table(
        "event",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("build_id", sa.String(32), nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_event"),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name="fk_event_build_id_build"),
        sa.UniqueConstraint("build_id", "seq", name="uq_event_build_id_seq"),
    )


def downgrade() -> None:
    """Take the tables away."""
    for name in ("event", "build", "plan", "document", "mark"):
        op.drop_table(name)
