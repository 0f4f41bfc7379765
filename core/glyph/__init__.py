"""State glyphs as geometry, and the legend."""
