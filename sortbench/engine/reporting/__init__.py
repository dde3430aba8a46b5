"""The bench as a whole, in figures."""
