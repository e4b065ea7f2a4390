"""Written files → what they say → whether that is the design.

Uses the model and the units, and nothing else of ours: a proof that shared the makers' code would
share their mistakes.
"""
