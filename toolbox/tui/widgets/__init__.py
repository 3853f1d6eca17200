"""Parts that screens are made of: they draw and tell what was done, and decide nothing."""
