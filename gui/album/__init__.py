"""The albums workspace: the shelf, the leaf, the slot card, new albums, stocking."""
