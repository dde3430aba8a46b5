"""The screens: they ask the bench, hand its answers to pure drawing functions, and show the rows."""
