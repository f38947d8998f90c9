"""The screen for whoever glances over."""
