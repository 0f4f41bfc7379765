"""The checklist on screen: which list, which paper, the real pages, save or open."""
