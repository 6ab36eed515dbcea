"""One file a schema."""
