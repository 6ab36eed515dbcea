"""The tolerance study: many builds of a job by chance, what they come to, and on the bow."""
