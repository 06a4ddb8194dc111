"""What the measuring and the reporting both call by name; the reporting knows nothing of the site."""

EMPTY, SAME_ROWS = "floor: an empty page", "floor: the same fifty cases, bare"
ALONE, CROWD, BESIDE = "one person alone", "all fifty", "all fifty beside a batch print"
# Seconds between two things that one person does. Thirty-five technicians then finish some 1,250 stages an hour, as was
# measured: one each every hundred seconds, where work at a bench takes from minutes to hours.
PAUSE = (5.0, 25.0)
