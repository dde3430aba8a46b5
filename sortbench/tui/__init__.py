"""Floor 5: the terminal app. Screens and widgets draw view models and post messages; they never compute."""
