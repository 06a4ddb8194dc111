"""What a browser says of itself, in plain words, so that people know their own devices again.

Kept in English, and shown in the language of whoever looks.
"""

import re

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

# The first that fits names it: most browsers also claim to be some of the later ones.
BROWSERS = (
    (r"\bEdgA?/|\bEdgiOS/", "Edge"),
    (r"\bOPR/|\bOPT/", "Opera"),
    (r"\bSamsungBrowser/", gettext_noop("Samsung’s browser")),
    (r"\bFirefox/|\bFxiOS/", "Firefox"),
    (r"\b(?:Headless)?Chrome/|\bChromium/|\bCriOS/", "Chrome"),
    (r"\bSafari/", "Safari"),
)
SYSTEMS = (
    (r"\biPhone\b", gettext_noop("an iPhone")),
    (r"\biPad\b", gettext_noop("an iPad")),
    (r"\bAndroid\b.*\bMobile\b", gettext_noop("an Android phone")),
    (r"\bAndroid\b", gettext_noop("an Android tablet")),
    (r"\bCrOS\b", gettext_noop("a Chromebook")),
    (r"\bWindows\b", "Windows"),
    (r"\bMacintosh\b|\bMac OS X\b", gettext_noop("a Mac")),
    (r"\bLinux\b", "Linux"),
)


def described(user_agent: str) -> str:
    """For example "Firefox on Windows"; what is not known is called a browser, and left at that."""
    browser = _first(BROWSERS, user_agent) or "A browser"
    system = _first(SYSTEMS, user_agent)
    return f"{browser} on {system}" if system else browser


def _first(table: tuple[tuple[str, str], ...], text: str) -> str:
    return next((name for pattern, name in table if re.search(pattern, text[:400])), "")


def in_words(device: str) -> str:
    """What `described` said, in the language of the reader."""
    browser, on, system = device.partition(" on ")
    return _("{browser} on {system}").format(browser=_(browser), system=_(system)) if on else _(device)
