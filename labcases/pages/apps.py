from django.apps import AppConfig
from django.utils.formats import get_format
from django.utils.translation import gettext

from labcases.pages.sentences import small
from labcases.prosthodontics.wording import translate_with


class PagesConfig(AppConfig):
    name = "labcases.pages"

    def ready(self) -> None:
        translate_with(gettext, decimal_mark=lambda: get_format("DECIMAL_SEPARATOR"), small=small)
