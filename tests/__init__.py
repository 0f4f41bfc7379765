"""The tests; a package, so that `tests/gui` does not hide the package `gui`."""
