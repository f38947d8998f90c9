"""A round before it begins: what to make up, measure, lay out and write on the pot."""
