"""Desk: jobs and builds in a store, and the next act at the jig."""
