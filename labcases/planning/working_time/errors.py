from labcases.prosthodontics.errors import LabCasesError


class NoWorkingTime(LabCasesError):
    """The calendar has no opening, or no collection, within the time that was looked at."""
