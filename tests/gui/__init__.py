"""What the window does."""
