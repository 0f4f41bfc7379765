"""The leaf view: an album's slots as a table that paints itself."""
