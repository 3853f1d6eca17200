"""The stock engine: what is there, how long it is good, what will be used, what to buy."""
