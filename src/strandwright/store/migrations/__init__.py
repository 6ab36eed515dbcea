"""Migrations: one file a schema, from the first one on; a released one never changes."""
