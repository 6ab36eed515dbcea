"""The queue: jobs over benches and hands with their due dates, laid out in time by a solver."""
