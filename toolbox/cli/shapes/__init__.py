"""What each command prints with --json: its shape, from which a JSON Schema is made."""
