"""What the site notes of its own running. Nobody's case is concerned."""
