"""The plan of least cost: the question, its costs, the mixed-integer program, and how it is read."""
