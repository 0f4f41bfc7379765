"""The window of Slotleaf; it asks `core.app` for everything it shows."""
