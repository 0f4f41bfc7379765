"""The Searches workspace: boxes at the sorting table, the look-up line, tallies, campaigns."""
