"""Keeps a travelling race mechanic's toolbox ready."""

__version__ = "0.1.0"
