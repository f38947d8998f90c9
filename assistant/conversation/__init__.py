"""Pure conversation: (state, what was heard) to (state, reply, what the register must keep)."""
