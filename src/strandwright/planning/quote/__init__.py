"""Quote: what a line takes, how long it takes, what it costs, and the offer made of it."""
