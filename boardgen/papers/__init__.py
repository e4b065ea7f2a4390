"""HTML for the bench and the class: facts as plain data, templates, one table of words."""
