"""The page: what a lifter sees and taps, on any device in the same network."""
