"""Runners: who works out the batches of a study, here or on other computers."""
