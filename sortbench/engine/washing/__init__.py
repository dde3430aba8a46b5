"""Washing and drying: what must not go into the tub, batches on the clock, when a tray is dry, cautions."""
