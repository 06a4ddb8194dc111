"""Faults, shown one to a line and none left out."""


def assert_none(faults: list[str]) -> None:
    assert not faults, "\n" + "\n".join(faults)
