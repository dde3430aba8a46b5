"""The condition of pieces: colour measured and judged, photographs, uniform targets, peroxide."""
