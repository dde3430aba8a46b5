"""Floor 1: what things are. Frozen values, standard library only."""
