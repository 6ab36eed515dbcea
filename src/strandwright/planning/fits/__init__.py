"""Fits: a line against the nock, tracks, pegs and limbs of its bow."""
