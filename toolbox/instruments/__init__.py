"""Instrument engine: limits, checks against a reference, due dates, drift, corrections."""
