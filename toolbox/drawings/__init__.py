"""Drawings: pages in real millimetres as frozen values, and what they look like as SVG and PDF."""
