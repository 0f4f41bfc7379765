"""What to buy or swap next: the best set within a budget, the whole curve, a schedule. Pure."""
