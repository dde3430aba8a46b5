"""Two copies of a bench's documents brought together."""
