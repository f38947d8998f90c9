"""The talk loop and its voice: hear, answer aloud, listen again."""
