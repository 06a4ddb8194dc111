"""The days that a laboratory can mean, as they arrive from boxes and addresses.

Beyond them a slip of the year would be planned for, and the calendar's own arithmetic ends at the year 9999.
"""

import datetime

EARLIEST, LATEST = datetime.date(2000, 1, 1), datetime.date(2100, 12, 31)


def can_be_meant(day: datetime.date) -> bool:
    return EARLIEST <= day <= LATEST


def read_day(text: str) -> datetime.date | None:
    """The day that a machine wrote into an address or a list, as ISO 8601 has it; None for anything else."""
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        return None
    return day if can_be_meant(day) else None
