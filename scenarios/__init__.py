"""Plain-language stories of what a collector does, each with a test that walks it."""
