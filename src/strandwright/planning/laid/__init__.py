"""A line laid in: what to cut, how to lay it by hand, where the loops begin and how they hold."""
