"""Sound cards, recordings, and where an utterance begins and ends in them."""
