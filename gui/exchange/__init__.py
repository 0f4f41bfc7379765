"""Coins in and out of the window as sheets."""
