"""Fitting: proved lines on their bow, the bow brought back, shot in, and each turn counted."""
