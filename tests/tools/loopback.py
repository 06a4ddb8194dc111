"""Keeps the test process on this machine: a test that reaches out fails, and says where it wanted to go."""

import ipaddress
import socket
from collections.abc import Callable
from typing import Any

LOCAL_NAMES = frozenset({"", "localhost", "ip6-localhost"})


class ReachedOut(AssertionError):
    """A test tried to talk to something other than loopback."""


def is_local(host: object) -> bool:
    if isinstance(host, bytes):
        host = host.decode("ascii", "replace")
    if host is None or host in LOCAL_NAMES:
        return True
    try:
        return ipaddress.ip_address(str(host).split("%")[0]).is_loopback
    except ValueError:
        return False


def _checked_connect(original: Callable[..., Any]) -> Callable[..., Any]:
    def connect(self: socket.socket, address: Any) -> Any:
        if self.family in (socket.AF_INET, socket.AF_INET6) and not is_local(address[0]):
            raise ReachedOut(f"a test tried to connect to {address!r}")
        return original(self, address)

    return connect


def _checked_lookup(original: Callable[..., Any]) -> Callable[..., Any]:
    def getaddrinfo(host: Any, *args: Any, **kwargs: Any) -> Any:
        # The wildcard address is what a server binds to; it names no machine.
        if not is_local(host) and host not in ("0.0.0.0", "::"):
            raise ReachedOut(f"a test tried to look up {host!r}")
        return original(host, *args, **kwargs)

    return getaddrinfo


def keep_to_loopback() -> None:
    """Guard this process once; calling it again changes nothing."""
    if getattr(socket, "_kept_to_loopback", False):
        return
    socket.socket.connect = _checked_connect(socket.socket.connect)  # type: ignore[method-assign]
    socket.socket.connect_ex = _checked_connect(socket.socket.connect_ex)  # type: ignore[method-assign]
    socket.getaddrinfo = _checked_lookup(socket.getaddrinfo)  # type: ignore[assignment]
    socket._kept_to_loopback = True  # type: ignore[attr-defined]
