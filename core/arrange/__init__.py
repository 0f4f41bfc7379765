"""From a list of slots to leaves of rows of cells; pure, with no database and no Qt."""
