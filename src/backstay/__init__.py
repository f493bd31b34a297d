"""Backstay: design, check and record tied-back (anchored) walls."""

__version__ = "0.1.0"
