"""One strand and a bundle of them: stiffness, twist, bedding-in, creep."""
