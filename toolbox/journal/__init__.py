"""The journal: facts in one SQLite file, appended and never changed."""
