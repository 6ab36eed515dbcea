"""Servings: where they lie, when they are made, and the tails under them."""
