"""The usage engine: how often each tool is wanted, how sure that is."""
