"""What the import linter cannot see.

Each check takes the root of a source tree and gives a list of faults, one line each, so that it can be tried
on a copy with a fault planted in it.
"""
