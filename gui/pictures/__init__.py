"""The album as sheets, pictures and cards: choose, look, save or copy."""
