"""The site's own way of reading lists, which says in a header which database answered."""

import os

from labcases.operation import replica
from labcases.operation.replica import ListsFromReplica

READ_FROM = "X-Read-From"
# Set for the trial that shows what is missed by whoever does not wait for what they wrote.
FORGETS = "LABCASES_TEST_FORGETS_WRITES"

if os.environ.get(FORGETS):
    remembered = replica.last_write_and_end
    replica.last_write_and_end = lambda user: (0, remembered(user)[1])


class TellingLists(ListsFromReplica):
    def process_view(self, *asked):
        response = super().process_view(*asked)
        if response is not None:
            response.headers[READ_FROM] = "replica"
        return response
