"""Labels that are read by a scanner: what is written in the code, and which line scans it in."""
