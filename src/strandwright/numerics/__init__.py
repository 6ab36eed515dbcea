"""Equations and their outcomes: methods only, no words of the trade."""
