"""Planar shapes: belts round posts, loops on pins, bundles of equal circles."""
