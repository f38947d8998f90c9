"""The acoustic bench: speech and noise made here, heard by any ears, scored row by row.

    parts.toml → parts → phrases, plan → voices, noises, mixing → ears → scoring → report

The development part is for fitting, the test part for measuring.  They share no voice, no kind of
noise, no weight, no bird name and, but for the shortest one, no wording; `parts.toml` declares
both, and reading it fails where they overlap.
"""
