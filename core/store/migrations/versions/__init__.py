"""One short file for each step of the schema."""
