"""What is always true, whatever the input."""
