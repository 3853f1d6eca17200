"""The places one can be in, one module each, loaded when first gone to."""
