"""Several terminals in one round."""
