"""Use cases: from a job to a plan, from a reading to a length, from a make-up to a choice."""
