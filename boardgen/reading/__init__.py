"""Files → objects: parameter file, catalogue and footprints; the only importer of pydantic."""
