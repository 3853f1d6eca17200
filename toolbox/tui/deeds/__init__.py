"""Rows of the table of actions, a module for each place."""
