"""What a lifter can do: the published equations, their error, and what rest gives back."""
