"""Counts against targets: who has what, what would be if, why, and what to pick."""
