"""A split-yoke cable: one body, a throat, and two legs to the ends of an axle."""
