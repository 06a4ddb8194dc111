"""One person's time as a line without gaps, on which work is booked.

Times are whole minutes since the plan's origin; a position is a number of working minutes along the line.
Work that rests overnight is then one stretch, as the person sees it.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence


class Axis:
    """The working spans (start, end) of a person, in order; it never changes."""

    def __init__(self, spans: Sequence[tuple[int, int]]) -> None:
        self.starts = [start for start, _ in spans]
        self.ends = [end for _, end in spans]
        self.marks = [0]
        for start, end in spans:
            self.marks.append(self.marks[-1] + end - start)
        self.total = self.marks[-1]

    def position(self, time: int) -> int:
        """The first position that lies at `time` or after it."""
        at = bisect_right(self.starts, time) - 1
        if at < 0:
            return 0
        return self.marks[at] + min(time, self.ends[at]) - self.starts[at]

    def start_time(self, position: int) -> int:
        """When work that begins at `position` begins: after a break, not before it."""
        at = bisect_right(self.marks, position) - 1
        return self.starts[at] + position - self.marks[at]

    def end_time(self, position: int) -> int:
        """When work that ends at `position` (> 0) ends: before a break, not after it."""
        at = bisect_left(self.marks, position) - 1
        return self.starts[at] + position - self.marks[at]

    def in_one_go(self, position: int, minutes: int) -> int:
        """The first start from `position` on at which `minutes` fit before the next break; -1 if nowhere."""
        at = bisect_right(self.marks, position) - 1
        while at < len(self.starts):
            start = max(position, self.marks[at])
            if start + minutes <= self.marks[at + 1]:
                return start
            at += 1
        return -1


class Bookings:
    """What is booked on one axis. Booking is only ever added to."""

    def __init__(self, axis: Axis) -> None:
        self.axis = axis
        self.taken: list[tuple[int, int]] = []
        self.booked = 0

    def copy(self) -> "Bookings":
        twin = Bookings(self.axis)
        twin.taken, twin.booked = list(self.taken), self.booked
        return twin

    def find(self, time: int, minutes: int, *, may_rest: bool) -> int:
        """The first free position from `time` on that holds `minutes`; -1 if the line is too short."""
        axis, taken = self.axis, self.taken
        start = axis.position(time)
        at = bisect_right(taken, (start, axis.total + 1))
        if at and taken[at - 1][1] > start:
            start = taken[at - 1][1]
        while True:
            until = taken[at][0] if at < len(taken) else axis.total
            if until - start >= minutes:
                fits = start if may_rest else axis.in_one_go(start, minutes)
                if 0 <= fits <= until - minutes:
                    return fits
            if at == len(taken):
                return -1
            start = taken[at][1]
            at += 1

    def book(self, position: int, minutes: int) -> None:
        insort(self.taken, (position, position + minutes))
        self.booked += minutes
