"""Pure language: one grammar, read from text, that both the text mode and every ear share."""
