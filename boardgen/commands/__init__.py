"""The commands, one module each; heavy imports live inside them."""
