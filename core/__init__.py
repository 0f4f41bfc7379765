"""The domain of Slotleaf: everything but the window. Nothing in here imports Qt."""
