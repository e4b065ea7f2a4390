"""Design rules: one table, one file for each family. Checks allow nothing; layout keeps 1 µm."""
