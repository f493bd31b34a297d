"""The migrations of the field database, run by alembic: one file for each change of the schema."""
