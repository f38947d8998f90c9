"""Lists of birds as keepers have them: a table, or words."""
