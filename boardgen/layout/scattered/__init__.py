"""LEDs on several lines, and tracks that find their ways between them."""
