"""Shapes and what can be asked of them; with readback the only importer of shapely."""
