"""What the measuring and the reporting both call by name; the reporting knows nothing of the site."""

EMPTY, SAME_ROWS = "floor: an empty page", "floor: the same fifty cases, bare"
ALONE, CROWD, BESIDE = "one person alone", "all fifty", "all fifty beside a batch print"
# Seconds between two things that one person does. A technician then finishes a stage every 40 seconds, which is thirty
# times as often as at any bench: 3,000 stages an hour.
PAUSE = (5.0, 25.0)
