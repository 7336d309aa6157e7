"""The only rooms that know a table name."""
