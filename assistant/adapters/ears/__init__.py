"""Speech engines, each an ear bound to our grammar, and what they share."""
