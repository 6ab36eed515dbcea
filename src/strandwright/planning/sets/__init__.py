"""Sets: all lines of a bow planned together, and a matched spare made from a build's record."""
