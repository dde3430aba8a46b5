"""Floor 5: the command line. One module a command; whatever is heavy is imported inside the command."""
