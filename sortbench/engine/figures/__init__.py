"""Statistics with exact intervals, in plain Python."""
