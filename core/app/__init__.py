"""The collection as the window and the command line use it: operations in, frozen views out."""
