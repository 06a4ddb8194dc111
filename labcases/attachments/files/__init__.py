"""What a file is, told by its content and never by its name, and what of it is kept."""

from labcases.attachments.files.content import Content, UnfitFile
from labcases.attachments.files.reading import LARGEST, megabytes, read_content

__all__ = ["LARGEST", "Content", "UnfitFile", "megabytes", "read_content"]
