"""Orders: a customer's visit, from the counter until bow and lines are handed over."""
