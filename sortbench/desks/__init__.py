"""One subject at a bench each: engine and store joined for it. ``Bench`` has them at hand."""
