import sys

from labcases.config import server


def test_threads_of_a_site_take_shorter_turns_than_pythons_own():
    before = sys.getswitchinterval()
    try:
        server.post_fork(None, None)
        assert sys.getswitchinterval() < before / 5
    finally:
        sys.setswitchinterval(before)
