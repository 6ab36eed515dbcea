"""People: who may sign in, what they may be called, and the log of who came and went."""
