"""Readings: how surely each is taken, and what is learned from it."""
