"""The app in a browser: who may come in, and the pages that are shown. Loaded by `sortbench serve` alone."""
