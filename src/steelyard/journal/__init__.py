"""The append-only record of what happened."""
