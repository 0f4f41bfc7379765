"""Paper: checklists as data, as laid-out pages, as PDF and as pictures."""
