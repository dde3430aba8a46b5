"""From keys to kinds: the keypad, the shade tray, and what stands behind the look-up."""
