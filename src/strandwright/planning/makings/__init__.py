"""Makings: what a job says of how its line is made, as parts of a line."""
