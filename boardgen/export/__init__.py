"""Design → named bytes: one table of exporters, one file per format."""
