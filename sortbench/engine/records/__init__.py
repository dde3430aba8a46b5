"""Records of the work: how fast it went, with which way of entry, and how much of it was put right."""
