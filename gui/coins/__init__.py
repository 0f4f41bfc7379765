"""The coins workspace: every coin as a table, an entry line, a form."""
