"""Batches of made-up stock: what was made, given, kept in needles, thrown away, and left."""
