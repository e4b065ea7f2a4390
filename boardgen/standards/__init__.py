"""Published tables and formulas, each with its source and standing."""
