"""Take-off: the original line as it was read, and a job begun from it."""
