"""Entries and readings, never changed once written."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None

_ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
_FIRST = sa.text("kind = 'planned' AND supersedes IS NULL")
_TEST = sa.text("kind = 'test' AND supersedes IS NULL")
_NEXT = (
    "1 + (SELECT CASE WHEN e > r THEN e ELSE r END FROM (SELECT"
    " coalesce((SELECT max(id) FROM field_entry), 0) AS e,"
    " coalesce((SELECT max(id) FROM field_reading), 0) AS r) AS last)"
)
# SQLite: INSERT OR REPLACE deletes without asking the trigger on DELETE, so it is met on its way in.
_TAKEN = {
    "field_entry": (
        "EXISTS (SELECT 1 FROM field_entry WHERE supersedes = NEW.supersedes)"
        " OR (NEW.supersedes IS NULL AND NEW.kind IN ('planned', 'test') AND EXISTS (SELECT 1"
        " FROM field_entry WHERE anchor = NEW.anchor AND kind = NEW.kind AND supersedes IS NULL"
        " AND test IS NEW.test))"
    ),
    "field_reading": (
        "EXISTS (SELECT 1 FROM field_reading WHERE test = NEW.test AND number = NEW.number"
        " AND revision = NEW.revision)"
    ),
}
_POSTGRES = f"""
CREATE FUNCTION field_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'field records are only ever added to'; END $$;
CREATE FUNCTION field_order() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.id <> {_NEXT} THEN
    RAISE EXCEPTION 'field records are numbered in order, without a gap';
  END IF;
  RETURN NEW;
END $$;
"""


def upgrade() -> None:
    """Make both tables and their guards."""
    _entries()
    _readings()
    sqlite = op.get_bind().dialect.name == "sqlite"
    if not sqlite:
        op.execute(_POSTGRES)
    for table in ("field_entry", "field_reading"):
        if sqlite:
            _guard_sqlite(table)
        else:
            _guard_postgres(table)


def _entries() -> None:
    op.create_table(
        "field_entry",
        sa.Column("id", _ID, primary_key=True, autoincrement=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("anchor", sa.Text),
        sa.Column("test", sa.Integer),
        sa.Column("happened", sa.Text, nullable=False),
        sa.Column("recorded", sa.Text, nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("supersedes", _ID, sa.ForeignKey("field_entry.id")),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("exception", sa.Text, nullable=False),
        sa.Column("payload", sa.Text, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.UniqueConstraint("supersedes", name="field_entry_once"),
    )
    op.create_index("field_entry_anchor", "field_entry", ["anchor"])
    op.create_index("field_entry_kind", "field_entry", ["kind"])
    op.create_index(
        "field_entry_identity", "field_entry", ["anchor"], unique=True,
        sqlite_where=_FIRST, postgresql_where=_FIRST,
    )  # fmt: skip
    op.create_index(
        "field_entry_test", "field_entry", ["anchor", "test"], unique=True,
        sqlite_where=_TEST, postgresql_where=_TEST,
    )  # fmt: skip


def _readings() -> None:
    op.create_table(
        "field_reading",
        sa.Column("id", _ID, primary_key=True, autoincrement=False),
        sa.Column("test", _ID, sa.ForeignKey("field_entry.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("cycle", sa.Integer, nullable=False),
        sa.Column("target", sa.Float, nullable=False),
        sa.Column("phase", sa.Text, nullable=False),
        sa.Column("minute", sa.Float, nullable=False),
        sa.Column("gauge", sa.Float),
        sa.Column("load", sa.Float),
        sa.Column("dials", sa.Text, nullable=False),
        sa.Column("reference", sa.Float, nullable=False),
        sa.Column("read_at", sa.Text),
        sa.Column("remark", sa.Text, nullable=False),
        sa.Column("withdrawn", sa.Integer, nullable=False),
        sa.Column("recorded", sa.Text, nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.UniqueConstraint("test", "number", "revision", name="field_reading_once"),
    )
    op.create_index("field_reading_extent", "field_reading", ["test", "gauge", "load"])
    corrected = sa.text("revision > 0")
    op.create_index(
        "field_reading_corrected", "field_reading", ["revision", "test"],
        sqlite_where=corrected, postgresql_where=corrected,
    )  # fmt: skip


def _guard_sqlite(table: str) -> None:
    for what in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_{what.lower()} BEFORE {what} ON {table}"
            " BEGIN SELECT RAISE(ABORT, 'field records are only ever added to'); END"
        )
    for name, when, words in (
        ("taken", _TAKEN[table], "are only ever added to"),
        ("order", f"NEW.id <> {_NEXT}", "are numbered in order, without a gap"),
    ):
        op.execute(
            f"CREATE TRIGGER {table}_{name} BEFORE INSERT ON {table} WHEN {when}"
            f" BEGIN SELECT RAISE(ABORT, 'field records {words}'); END"
        )


def _guard_postgres(table: str) -> None:
    op.execute(
        f"CREATE TRIGGER {table}_rows BEFORE UPDATE OR DELETE ON {table}"
        " FOR EACH ROW EXECUTE FUNCTION field_refuse()"
    )
    op.execute(
        f"CREATE TRIGGER {table}_whole BEFORE TRUNCATE ON {table}"
        " FOR EACH STATEMENT EXECUTE FUNCTION field_refuse()"
    )
    op.execute(
        f"CREATE TRIGGER {table}_order BEFORE INSERT ON {table}"
        " FOR EACH ROW EXECUTE FUNCTION field_order()"
    )
