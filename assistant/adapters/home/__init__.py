"""The keeper's home: its files, how they are made, written, and backed up."""
