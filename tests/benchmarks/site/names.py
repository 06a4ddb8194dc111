"""What the measuring and the reporting both call by name; the reporting knows nothing of the site."""

EMPTY, SAME_ROWS = "floor: an empty page", "floor: the same fifty cases, bare"
ALONE, CROWD, BESIDE = "one person alone", "all fifty", "all fifty beside a batch print"
