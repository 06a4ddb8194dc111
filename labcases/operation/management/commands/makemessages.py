"""Collects the words that people read, those of the core too, into the catalogues of locale/: `make messages`."""

from django.core.management.commands import makemessages


class Command(makemessages.Command):
    xgettext_options = [
        *makemessages.Command.xgettext_options,
        "--keyword=Words",
        "--flag=Words:1:no-python-format",
    ]
