"""The screens in a browser, behind a gate: for a phone or tablet in the pits."""
