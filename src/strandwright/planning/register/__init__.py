"""Register: which line is on which bow since when, and when it is looked at again."""
