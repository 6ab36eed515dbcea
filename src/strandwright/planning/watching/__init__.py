"""Watching: a line that stands under a load, what it does and what may be done."""
