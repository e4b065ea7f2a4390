"""Board → Artwork: what each file shows, on the 1 nm grid; one module per kind of layer."""
