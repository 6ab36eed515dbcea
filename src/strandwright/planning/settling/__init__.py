"""Settling: a finished line on its bow, from what is written of it to what is to be done."""
