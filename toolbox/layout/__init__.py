"""The layout engine: a compartment for every thing, a real fit, and a proof of how good it is."""
