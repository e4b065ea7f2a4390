"""LEDs in equal rows: their measures in closed form."""
