"""Reckoning over searches: tallies and their spreads, records, weighing, containers, dashboard."""
