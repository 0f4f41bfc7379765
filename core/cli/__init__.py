"""The command line; runs with no display and without Qt."""
