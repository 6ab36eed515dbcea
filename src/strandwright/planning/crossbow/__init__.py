"""The string of a crossbow: its middle on the rail, its marks, where it breaks, what is laid in."""
