import socket

import pytest

from tests.tools.loopback import ReachedOut, is_local


@pytest.mark.parametrize("host", ["127.0.0.1", "127.8.8.8", "::1", "localhost", None, ""])
def test_loopback_is_local(host):
    assert is_local(host)


@pytest.mark.parametrize("host", ["192.0.2.1", "10.0.0.1", "2001:db8::1", "lab.example", b"lab.example"])
def test_anything_else_is_not(host):
    assert not is_local(host)


def test_a_test_that_connects_outwards_fails():
    with socket.socket() as outwards, pytest.raises(ReachedOut, match=r"192\.0\.2\.1"):
        outwards.connect(("192.0.2.1", 80))


def test_a_test_that_looks_up_a_name_fails():
    with pytest.raises(ReachedOut, match=r"lab\.example"):
        socket.create_connection(("lab.example", 80), timeout=1)


def test_a_test_may_talk_to_its_own_machine():
    with socket.socket() as server:
        server.bind(("127.0.0.1", 0))
        server.listen()
        with socket.create_connection(server.getsockname(), timeout=5) as client:
            assert client.getpeername() == server.getsockname()
