"""What screens are made of: panels of lines, the entry line, and the pure helpers that lay out their rows."""
