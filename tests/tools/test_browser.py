"""The browser that other tests trust: it stays on this machine, and it tells what went wrong in a page."""

import pytest
from playwright.sync_api import Error

from tests.tools.browser import Desk

pytestmark = pytest.mark.browser
ADDRESSES = ["http://lab.example/", "http://192.0.2.1/", "https://[2001:db8::1]/"]


@pytest.fixture
def loose_desk(chromium):
    """A desk whose complaints the test reads itself."""
    desk = Desk(chromium, base_url="http://127.0.0.1:9")
    yield desk
    desk.close()


@pytest.mark.parametrize("address", ADDRESSES)
def test_the_browser_reaches_nothing_beyond_this_machine(address, loose_desk):
    with pytest.raises(Error, match="ERR_NAME_NOT_RESOLVED"):
        loose_desk.open().goto(address)


def test_an_error_in_a_page_is_noted(loose_desk):
    page = loose_desk.open()
    page.set_content("<script>throw new Error('planted')</script>")
    assert [line for line in loose_desk.complaints if "planted" in line]


def test_what_the_content_policy_refuses_is_noted(loose_desk):
    page = loose_desk.open()
    page.set_content(
        "<meta http-equiv='Content-Security-Policy' content=\"script-src 'none'\"><script>planted()</script>"
    )
    assert [line for line in loose_desk.complaints if "Content Security Policy" in line]


def test_two_people_at_a_desk_do_not_share_a_session(desk, live_server):
    first, second = desk.open(), desk.open(width=390, theme="dark")
    for page in (first, second):
        page.goto("/static/css/site.css")
    first.context.add_cookies([{"name": "who", "value": "first", "url": live_server.url}])
    assert second.context.cookies() == []
    assert second.viewport_size["width"] == 390
