"""Forms of boards: each makes a plan of its own section, and nothing after it knows the form."""
