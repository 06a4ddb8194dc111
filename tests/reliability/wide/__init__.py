"""Beyond one machine, on one: two sites, two workers, a primary and its replica, and what is killed of them.

python -m tests.reliability.wide --help
"""
