"""Entries: what is typed, named, changed and refused."""
