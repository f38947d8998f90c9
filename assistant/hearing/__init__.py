"""What the ears report, weighed: answer, ask or ignore."""
