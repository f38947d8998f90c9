"""Fitting the probability by which the ears answer, ask or ignore: see assistant/docs/ears.md."""
