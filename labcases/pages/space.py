"""A disk that is full: nothing was saved, and what was typed is shown so that it can be kept elsewhere."""

import errno
from collections.abc import Iterator

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from labcases.pages.refusing import typed_values

INSUFFICIENT_STORAGE = 507
DISK_FULL = "53100"  # PostgreSQL, appendix A: class 53, insufficient resources
SQLITE_FULL = 13
OUT_OF_ROOM = {errno.ENOSPC, errno.EDQUOT}


def is_out_of_space(error: BaseException | None) -> bool:
    """Whether an error, or one that led to it, says that there is no room left to write to."""
    return any(
        getattr(each, "sqlstate", None) == DISK_FULL
        or getattr(each, "sqlite_errorcode", None) == SQLITE_FULL
        or (isinstance(each, OSError) and each.errno in OUT_OF_ROOM)
        for each in _chain(error)
    )


def out_of_space(request: HttpRequest) -> HttpResponse:
    # Reading goes on where writing does not, so that the page may ask who is signed in.
    context = {"typed": typed_values(request), "back": request.path}
    return render(request, "pages/507.html", context, status=INSUFFICIENT_STORAGE)


def _chain(error: BaseException | None) -> Iterator[BaseException]:
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        yield error
        error = error.__cause__ or error.__context__
