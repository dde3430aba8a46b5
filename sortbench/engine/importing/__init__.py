"""Lists that people bring: which column holds what, and what each row means for the bench."""
