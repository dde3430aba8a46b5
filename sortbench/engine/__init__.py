"""Floor 2: what is worked out from what things are. Pure: no disk, no clock, no screen."""
