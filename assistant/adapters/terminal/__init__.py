"""The plain terminal: lines, and guided questions."""
