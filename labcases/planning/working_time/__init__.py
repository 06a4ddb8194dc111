"""When the laboratory works: its week, closed days, absences, collections, and arithmetic with them.

Plain values only: no framework, no database, no clock.
"""

from labcases.planning.working_time.absences import Absence
from labcases.planning.working_time.calendars import WorkingCalendar
from labcases.planning.working_time.errors import NoWorkingTime
from labcases.planning.working_time.openings import USUAL_WEEK, Opening, Week
from labcases.planning.working_time.transport import Transport

__all__ = ["USUAL_WEEK", "Absence", "NoWorkingTime", "Opening", "Transport", "Week", "WorkingCalendar"]
