"""What the hands feel: the mechanism, its statics, and what it is rated for."""
