"""The way out: orders, what cannot be had, what it all cost, and what can truly be said of a target."""
