"""Winding: passes, colours, spools and what they weigh."""
