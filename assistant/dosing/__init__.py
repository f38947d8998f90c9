"""Pure arithmetic of a dose: quantities, dilution, medicine, syringe, needle, species, dose.

Nothing here reads a file, a clock or a device.
"""
