"""What a browser says of itself, in plain words, so that people know their own devices again."""

import re

# The first that fits names it: most browsers also claim to be some of the later ones.
BROWSERS = (
    (r"\bEdgA?/|\bEdgiOS/", "Edge"),
    (r"\bOPR/|\bOPT/", "Opera"),
    (r"\bSamsungBrowser/", "Samsung’s browser"),
    (r"\bFirefox/|\bFxiOS/", "Firefox"),
    (r"\b(?:Headless)?Chrome/|\bChromium/|\bCriOS/", "Chrome"),
    (r"\bSafari/", "Safari"),
)
SYSTEMS = (
    (r"\biPhone\b", "an iPhone"),
    (r"\biPad\b", "an iPad"),
    (r"\bAndroid\b.*\bMobile\b", "an Android phone"),
    (r"\bAndroid\b", "an Android tablet"),
    (r"\bCrOS\b", "a Chromebook"),
    (r"\bWindows\b", "Windows"),
    (r"\bMacintosh\b|\bMac OS X\b", "a Mac"),
    (r"\bLinux\b", "Linux"),
)


def described(user_agent: str) -> str:
    """For example "Firefox on Windows"; what is not known is called a browser, and left at that."""
    browser = _first(BROWSERS, user_agent) or "A browser"
    system = _first(SYSTEMS, user_agent)
    return f"{browser} on {system}" if system else browser


def _first(table: tuple[tuple[str, str], ...], text: str) -> str:
    return next((name for pattern, name in table if re.search(pattern, text[:400])), "")
