"""Files as they come in: written to the disk while they arrive, and no further than the largest that is taken."""

from typing import Any

from django.conf import settings
from django.core.files.uploadhandler import SkipFile, TemporaryFileUploadHandler


class BoundedUpload(TemporaryFileUploadHandler):
    """A file beyond `LARGEST_UPLOAD` bytes, or from somebody who is not signed in, is read to its end and thrown
    away: its form then has no file."""

    received = 0

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        user = getattr(self.request, "user", None)
        if user is None or not user.is_authenticated:
            raise SkipFile
        super().new_file(*args, **kwargs)
        self.received = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        self.received += len(raw_data)
        if self.received > settings.LARGEST_UPLOAD:
            raise SkipFile
        super().receive_data_chunk(raw_data, start)
