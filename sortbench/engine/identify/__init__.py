"""Which sets a pile holds: the lists of a library weighed against what has been counted so far."""
