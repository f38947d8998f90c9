"""dosewren: the dose for the bird in front of you, asked and answered by voice or text, offline."""

__version__ = "0.1.0"
