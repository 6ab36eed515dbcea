"""Strength: what a line holds, where, and what is asked of it."""
