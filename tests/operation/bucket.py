"""A storage of files that lie on another machine, as strict as those are."""

import io

from django.core.files.base import File
from django.core.files.storage import Storage
from django.utils.deconstruct import deconstructible


@deconstructible
class Bucket(Storage):
    """Knows no folder and no path, reads what it is given from its start, and closes it when it is done."""

    kept: dict[str, dict[str, bytes]] = {}

    def __init__(self, bucket_name: str = "cases") -> None:
        self.bucket_name = bucket_name

    @property
    def files(self) -> dict[str, bytes]:
        return self.kept.setdefault(self.bucket_name, {})

    def _save(self, name: str, content: File) -> str:
        content.seek(0)
        self.files[name] = content.read()
        content.close()
        return name

    def _open(self, name: str, mode: str = "rb") -> File:
        if name not in self.files:
            raise FileNotFoundError(name)
        return File(io.BytesIO(self.files[name]), name)

    def exists(self, name: str) -> bool:
        return name in self.files

    def delete(self, name: str) -> None:
        self.files.pop(name, None)

    def size(self, name: str) -> int:
        return len(self.files[name])
