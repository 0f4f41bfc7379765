"""Fill: which coin goes where, the best lawful assignment by the aims in their order."""
