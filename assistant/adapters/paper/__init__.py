"""What is printed, or handed to other programs."""
