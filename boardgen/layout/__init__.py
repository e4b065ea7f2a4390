"""Circuit → Board: where everything goes. One module per form, then tracks, marks and texts."""
