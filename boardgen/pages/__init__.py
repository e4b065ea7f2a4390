"""Pictures and pages for people."""
