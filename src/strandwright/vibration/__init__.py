"""Vibration: how a taut line sounds, and what its sound says of its load."""
