"""Whether the world agrees: each expected value names its source."""
