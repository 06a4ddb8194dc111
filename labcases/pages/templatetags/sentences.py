"""`{{ label|in_sentence }}`: a label of choices within a sentence, in whose language nouns may keep their capitals."""

from django import template

from labcases.cases.choices import in_sentence as written_in_sentence

register = template.Library()


@register.filter
def in_sentence(label: object) -> str:
    return written_in_sentence(label)
