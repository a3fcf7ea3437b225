"""A session while it is lived through: what is shown, said and asked next, as plain data."""
