"""A casting defect record book that asks why, and remembers."""

# A constant, because reading it from the installed package costs 70 ms at every start.
__version__ = "0.1.0"
