"""What the arrays of lists and the model behind them agree on."""

MOST = 16
"""Most pieces of one kind that a list is weighed by; where a list asks for more, a kind is weighed in heaps of several
pieces, so that one common brick cannot outvote a whole list."""

SURVIVALS = (1.0, 0.8, 0.5, 0.25, 0.1)
"""Shares of ``BEST`` that a list may have kept, as the ranking sees them; finer figures are worked out for few."""

REMAINS = 2
"""How many of them, at the end, are remains: some pieces of a set that was broken up or sold long ago. They explain
what was counted, but the set is not reckoned to be in the pile."""

BEST = 0.92
"""Share of its pieces that a list in good order still has: common practice, no source."""

CLUMPS = 0.5
"""Shape of the foreign pieces' negative binomial: the smaller, the likelier are many of one kind."""
