"""Look-up: reads what collectors write, and says what the coin in hand is worth to the set."""
