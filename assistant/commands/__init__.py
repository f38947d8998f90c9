"""What each command does, between the options of the command line and the parts of wiring."""
