"""Happenings: what the events of each kind of log say, one module a kind."""
