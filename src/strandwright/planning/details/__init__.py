"""Details a shop expects on a line: peep, marks and ties, patches, colours, rules."""
