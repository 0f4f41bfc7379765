"""What to buy or swap next: the table of slots, the plan within a budget, its curve and prices."""
