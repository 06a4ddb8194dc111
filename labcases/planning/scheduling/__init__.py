"""Who does what when: standard times, dates, plans and their improvement.

Plain values only: no framework, no database, no clock.
"""
