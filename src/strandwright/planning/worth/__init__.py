"""Worth: what would make a line land more surely, what a reading is worth, and when."""
