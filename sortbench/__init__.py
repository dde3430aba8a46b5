"""sortbench: count a drying pile of construction bricks back into complete sets."""

__version__ = "0.1.0"
