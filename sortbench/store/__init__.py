"""Floor 3: what is kept. The append-only tally log, the documents, and the folder that holds them."""
