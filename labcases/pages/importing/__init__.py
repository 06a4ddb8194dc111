"""Prescriptions from a file: reading it, what its columns mean, what a row comes to, the work in the background."""
