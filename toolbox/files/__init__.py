"""Kit folders on disk: TOML read with every fault named, written without losing a comment."""
