"""Value types of the kit: frozen, in whole units, knowing nothing of files or screens."""
