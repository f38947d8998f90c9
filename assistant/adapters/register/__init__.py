"""The register in one SQLite file: its rows, its seals, and what it is asked."""
