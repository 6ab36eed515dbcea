"""Stock: what lies on the shelf, what is promised of it, what to wind from and what to order."""
