"""What each piece does; these run with Qt blocked or absent."""
