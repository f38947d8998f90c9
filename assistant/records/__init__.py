"""What the register means: treatments, when again, weights over time, who is left."""
