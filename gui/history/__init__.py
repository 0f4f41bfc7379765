"""The history of a collection: all entries, newest first, and undo back to any of them."""
