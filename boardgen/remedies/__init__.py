"""Changes of the parameter file that pass: each is tried on the whole board before it is told."""
