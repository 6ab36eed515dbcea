"""Statistics: judging a reading against a tolerance, and learning from it."""
