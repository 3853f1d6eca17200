"""Intake: lists of the mechanic's own, read as people write them; guesses told, doubts asked."""
