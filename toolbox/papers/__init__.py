"""Papers: lists for customs, numbers in words, claims for bags that were lost or damaged."""
