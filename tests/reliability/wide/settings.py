"""The settings of tests; a list that the replica answered says so, and a site may be made to forget who wrote what."""

from tests.settings import *  # noqa: F403
from tests.settings import MIDDLEWARE

OURS = "labcases.operation.replica.ListsFromReplica"
MIDDLEWARE = ["tests.reliability.wide.telling.TellingLists" if each == OURS else each for each in MIDDLEWARE]
