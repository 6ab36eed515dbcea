"""Control: whether a bench is steady, by charts of what it turned out."""
