"""The two tables of the field database, as the newest migration leaves them.

`field_entry` holds every fact but readings, in the order in which they were recorded; its payload
is the fact as JSON. `field_reading` holds readings, a column for each number. Both take their ids
from one sequence without gaps, and neither is ever updated or deleted from.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    text,
)  # fmt: skip

METADATA = MetaData()
_ID = BigInteger().with_variant(Integer(), "sqlite")  # sqlite: the row's own number
_FIRST = text("kind = 'planned' AND supersedes IS NULL")
_TEST = text("kind = 'test' AND supersedes IS NULL")

ENTRY = Table(
    "field_entry", METADATA,
    Column("id", _ID, primary_key=True, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("anchor", Text),
    Column("test", Integer),
    Column("happened", Text, nullable=False),
    Column("recorded", Text, nullable=False),
    Column("author", Text, nullable=False),
    Column("supersedes", _ID, ForeignKey("field_entry.id")),
    Column("reason", Text, nullable=False),
    Column("exception", Text, nullable=False),
    Column("payload", Text, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    UniqueConstraint("supersedes", name="field_entry_once"),
    Index("field_entry_anchor", "anchor"),
    Index("field_entry_kind", "kind"),
    Index("field_entry_identity", "anchor", unique=True, sqlite_where=_FIRST, postgresql_where=_FIRST),
    Index("field_entry_test", "anchor", "test", unique=True, sqlite_where=_TEST, postgresql_where=_TEST),
)  # fmt: skip
"""test: number of the test of that anchor; supersedes: the entry that this one replaces; reason:
of the correction; exception: why a fact that does not fit was recorded all the same; payload:
JSON, ``null`` where a correction leaves nothing in its place."""

READING = Table(
    "field_reading", METADATA,
    Column("id", _ID, primary_key=True, autoincrement=False),
    Column("test", _ID, ForeignKey("field_entry.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("cycle", Integer, nullable=False),
    Column("target", Float, nullable=False),
    Column("phase", Text, nullable=False),
    Column("minute", Float, nullable=False),
    Column("gauge", Float),
    Column("load", Float),
    Column("dials", Text, nullable=False),
    Column("reference", Float, nullable=False),
    Column("read_at", Text),
    Column("remark", Text, nullable=False),
    Column("withdrawn", Integer, nullable=False),
    Column("recorded", Text, nullable=False),
    Column("author", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    UniqueConstraint("test", "number", "revision", name="field_reading_once"),
    Index("field_reading_extent", "test", "gauge", "load"),
    Index("field_reading_corrected", "revision", "test", sqlite_where=text("revision > 0"), postgresql_where=text("revision > 0")),
)  # fmt: skip
"""test: id of the entry that began the test; revision: 0 as first read, then one more for each
correction; withdrawn: 1 where a correction says that there was no such reading; dials: JSON. The
index of extents holds all that the register asks of readings, an eighth of the table."""
