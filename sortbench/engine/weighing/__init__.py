"""Counting by weight, and how much of a pile is left."""
