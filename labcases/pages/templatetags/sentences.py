"""Keys and stored texts as whoever reads the page says them."""

from django import template

from labcases.cases import choices
from labcases.prosthodontics.wording import Words

register = template.Library()


@register.filter
def arch_in_words(arch: str) -> str:
    return choices.arch_in_words(arch)


@register.filter
def in_words(stored: object) -> str:
    """A text that was stored in English; one that somebody wrote stays as it is."""
    return str(Words(stored))
