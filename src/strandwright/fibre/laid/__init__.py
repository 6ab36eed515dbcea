"""Two or three bundles, each twisted one way and laid about each other the other way."""
