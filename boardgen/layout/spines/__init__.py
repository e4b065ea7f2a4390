"""LEDs along one spine: measures grown until the claims are clear."""
