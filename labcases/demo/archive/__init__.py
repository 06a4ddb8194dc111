"""An archive as large as one likes: a few cases told through the real actions, copied with other days and people."""
