"""Designing the leaf itself: its shape, its slots, and what is kept of both."""
