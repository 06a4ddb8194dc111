"""How a label is written where it stands within a sentence, in the language of the moment."""

from django.utils.translation import get_language

# Labels begin large. Within a German sentence these words, which are no nouns, do not.
SMALL_IN_GERMAN = frozenset(
    (
        *("Am", "An", "Auf", "Außerhalb", "Bei", "Hier", "Im", "In", "Innerhalb", "Nicht", "Noch", "Nur"),
        *("Ohne", "Seit", "Unterwegs", "Von", "Vor", "Wieder", "Zu", "Zum", "Zur"),
        *("Abgeschlossen", "Anderes", "Angehalten", "Begonnen", "Bereit", "Erledigt", "Fertig", "Geändert"),
        *("Kam", "Männlich", "Offen", "Storniert", "Übersprungen", "Verspätet", "Vollständig", "Wartet"),
        *("Weiblich", "Wird", "Zurückgesandt"),
    )
)
ENDINGS_OF_ADJECTIVES = ("e", "en", "er", "es")


def small(label: str) -> str:
    if not (get_language() or "").startswith("de"):
        return label.lower()
    first, _, rest = label.partition(" ")
    before_its_noun = first.endswith(ENDINGS_OF_ADJECTIVES) and rest[:1].isupper()
    is_no_noun = before_its_noun or first.rstrip(",") in SMALL_IN_GERMAN
    return label[:1].lower() + label[1:] if is_no_noun else label
