"""A browser's own description, in words that its owner knows it by."""

import pytest

from labcases.pages.devices import described, in_words

MOZILLA = "Mozilla/5.0"
KIT = "AppleWebKit/537.36 (KHTML, like Gecko)"


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (f"{MOZILLA} (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        (f"{MOZILLA} (Windows NT 10.0; Win64; x64) {KIT} Chrome/140.0 Safari/537.36", "Chrome on Windows"),
        (f"{MOZILLA} (Windows NT 10.0) {KIT} Chrome/140.0 Safari/537.36 Edg/140.0", "Edge on Windows"),
        (f"{MOZILLA} (iPhone; CPU iPhone OS 18_0) {KIT} Version/18.0 Mobile Safari/604.1", "Safari on an iPhone"),
        (f"{MOZILLA} (Linux; Android 15; K) {KIT} Chrome/140.0 Mobile Safari/537.36", "Chrome on an Android phone"),
        (f"{MOZILLA} (Linux; Android 15; K) {KIT} Chrome/140.0 Safari/537.36", "Chrome on an Android tablet"),
        ("", "A browser"),
        ("curl/8.0", "A browser"),
        ("<b>Firefox/1</b> Windows", "Firefox on Windows"),
    ],
)  # fmt: skip
def test_a_browser_is_called_by_its_name_and_where_it_runs(agent, words):
    assert described(agent) == words


@pytest.mark.parametrize(
    "kept", ["Firefox on Linux", "Safari on an iPhone", "A browser", "A browser on a Mac", ""]
)
def test_what_is_kept_of_a_browser_is_shown_as_it_was_said(kept):
    assert in_words(kept) == kept
