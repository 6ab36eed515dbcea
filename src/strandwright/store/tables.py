"""Tables of the database, the newest schema. How older ones come to it stands in ``migrations``.

There are no columns to search content by: a record is kept as the JSON text it came as, so that
a new field needs no new column and an old record is read as it was written. What lists are
searched by stands in listings, which follow from the records and are made anew when what they
say changes.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

#: The schema these tables are; a test holds it to the newest migration.
SCHEMA = "0003"

#: Names for every constraint: without one, SQLite could never drop it again.
NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

metadata = MetaData(naming_convention=NAMES)

#: Says which schema the database has.
schema = Table("strandwright_schema", metadata, Column("version_num", String(32), primary_key=True))

#: One row; its number grows with every change, and who writes holds its lock.
mark = Table(
    "mark",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("value", Integer, nullable=False),
)

document = Table(
    "document",
    metadata,
    Column("kind", String(16), primary_key=True),
    Column("id", String(40), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("content", Text, nullable=False),
    Column("saved_at", String(40), nullable=False),
    Column("put_away", Boolean, nullable=False),
)

plan = Table(
    "plan",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("job_id", String(40), nullable=False),
    Column("content", Text, nullable=False),
    Column("model_version", Integer, nullable=False),
    Column("made_at", String(40), nullable=False),
    Index(None, "job_id"),
)

log = Table(
    "log",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("kind", String(16), nullable=False),
    Column("subject", String(40), nullable=False),
    # A build has a plan; no other log has.
    Column("plan_id", String(40), ForeignKey("plan.id")),
    Column("began_at", String(40), nullable=False),
    Index(None, "kind", "subject"),
)

event = Table(
    "event",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("log_id", String(32), ForeignKey("log.id"), nullable=False),
    Column("seq", Integer, nullable=False),
    Column("content", Text, nullable=False),
    UniqueConstraint("log_id", "seq"),
)

blob = Table(
    "blob",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("media", String(40), nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("kept_at", String(40), nullable=False),
)

#: Sorted by its bytes, whatever the language of the server.
_SORTED = String(40).with_variant(String(40, collation="C"), "postgresql")

listing = Table(
    "listing",
    metadata,
    Column("kind", String(16), primary_key=True),
    Column("id", _SORTED, primary_key=True),
    Column("owner", String(40), nullable=False),
    Column("status", String(24), nullable=False),
    Column("at", _SORTED, nullable=False),
    Column("words", Text, nullable=False),
    Column("summary", Text, nullable=False),
    # A list is read from its latest end, whole, by status or by owner.
    Index("ix_listing_latest", "kind", "at", "id"),
    Index("ix_listing_status", "kind", "status", "at", "id"),
    Index("ix_listing_owner", "kind", "owner", "at", "id"),
)
