"""The plates in the house, how they can be stacked, and every load they make."""
