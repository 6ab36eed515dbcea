"""The bow: limbs, wheels, and the lines that join them, at rest in a plane."""
