"""The edge: files, audio, speech engines, the register and the terminal, each behind a port."""
