"""Fitting the network that writes phones: its speech, its training, its measure.

`assistant/docs/phone-head.md` says what it is for and how it is made again.  Only the modules
`network` and `fit` import JAX, which the extra `fit` installs.
"""
