"""What somebody can reach from a page: its links, and its forms with what a browser would send of them."""

import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from html.parser import HTMLParser
from urllib.parse import parse_qsl, urldefrag, urlencode, urljoin, urlsplit

import pypdfium2
from django.test import Client
from django.urls import Resolver404, resolve

# Fields that a page puts into its forms itself: whoever fills a form in does not see them.
KEYS = ("csrfmiddlewaretoken", "one_time_key")
# Laid out for seconds each time it is asked for; the file beside it says the same.
LAID_OUT = "/whole-record.pdf"
UNSENT = ("submit", "button", "reset", "image", "file")


@dataclass(frozen=True)
class Box:
    """One field of a form: `kind` is an input's type, or "select" or "textarea"."""

    name: str
    kind: str
    value: str = ""
    chosen: bool = True
    options: tuple[str, ...] = ()
    attributes: dict[str, str | None] = field(default_factory=dict, compare=False)

    @property
    def is_typed(self) -> bool:
        return self.kind in (
            "text",
            "textarea",
            "date",
            "datetime-local",
            "search",
            "number",
            "password",
            "time",
        )


@dataclass(frozen=True)
class Form:
    address: str
    method: str
    boxes: tuple[Box, ...]
    page: str = ""
    button: tuple[str, str] | None = None

    @property
    def route(self) -> str:
        return route_of(self.address)

    @property
    def kind(self) -> tuple[object, ...]:
        """Forms of one kind differ only by the row that they are about."""
        names = {re.sub(r"\d+", "#", box.name) for box in self.boxes}
        return (self.route, self.method, tuple(sorted(names)), self.button and self.button[0])

    def defaults(self) -> dict[str, list[str]]:
        """What a browser sends if nobody touches anything."""
        sent: dict[str, list[str]] = {}
        for box in self.boxes:
            if box.kind not in UNSENT and box.chosen and box.name:
                sent.setdefault(box.name, []).append(box.value)
        if self.button and self.button[0]:
            sent.setdefault(self.button[0], []).append(self.button[1])
        return sent


class Page(HTMLParser):
    """Links and forms of one page; addresses are absolute paths of this site."""

    def __init__(self, text: str, *, address: str) -> None:
        super().__init__(convert_charrefs=True)
        self.address = address
        self.links: list[str] = []
        self._forms: list[dict] = []
        self._by_id: dict[str, dict] = {}
        self._loose: list[tuple[str, Box]] = []
        self._open: dict | None = None
        self._select: dict | None = None
        self._area: dict | None = None
        self.feed(text)
        self.close()

    @property
    def forms(self) -> Iterator[Form]:
        for owner, box in self._loose:
            if owner in self._by_id:
                self._by_id[owner]["boxes"].append(box)
        self._loose = []
        for each in self._forms:
            form = Form(each["address"], each["method"], tuple(each["boxes"]), self.address)
            buttons = each["buttons"] or [(each["address"], None)]
            for address, button in dict.fromkeys([*buttons, *each["scripts"]]):
                yield replace(form, address=address, button=button)

    def _here(self, address: str | None) -> str:
        return urldefrag(urljoin(self.address, address or "")).url if address else urldefrag(self.address).url

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        for name in ("href", "src", "hx-get"):
            if given.get(name):
                self.links.append(self._here(given[name]))
        handler = getattr(self, f"_start_{tag}", None)
        if handler:
            handler(given)
        if given.get("hx-post"):
            self._also_sent_to(given, given["hx-post"])
        if given.get("data-keeps-draft"):
            self._also_sent_to({}, given["data-keeps-draft"])

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None
        elif tag == "select" and self._select is not None:
            self._end_select()
        elif tag == "textarea" and self._area is not None:
            given, text = self._area["given"], "".join(self._area["text"])
            self._add(
                given, Box(given.get("name") or "", "textarea", text.removeprefix("\n"), attributes=given)
            )
            self._area = None

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self._area["text"].append(data)

    def _start_form(self, given: dict) -> None:
        self._open = {
            "address": self._here(given.get("action")),
            "method": (given.get("method") or "get").upper(),
            "boxes": [],
            "buttons": [],
            "scripts": [],
        }
        self._forms.append(self._open)
        if given.get("id"):
            self._by_id[given["id"]] = self._open

    def _start_input(self, given: dict) -> None:
        kind = (given.get("type") or "text").lower()
        if kind in ("submit", "image"):
            self._start_button(given)
            return
        value = given.get("value") or ("on" if kind in ("checkbox", "radio") else "")
        chosen = "checked" in given if kind in ("checkbox", "radio") else True
        self._add(given, Box(given.get("name") or "", kind, value, chosen, attributes=given))

    def _start_button(self, given: dict) -> None:
        owner = self._by_id.get(given.get("form") or "") or self._open
        if owner is None or (given.get("type") or "submit") not in ("submit", "image"):
            return
        address = self._here(given["formaction"]) if given.get("formaction") else owner["address"]
        name = given.get("name")
        owner["buttons"].append((address, (name, given.get("value") or "") if name else None))

    def _also_sent_to(self, given: dict, address: str) -> None:
        """Where a script sends the form to."""
        owner = self._by_id.get(given.get("form") or "") or self._open
        if owner is not None:
            owner["scripts"].append((self._here(address), None))

    def _start_textarea(self, given: dict) -> None:
        self._area = {"given": given, "text": []}

    def _start_select(self, given: dict) -> None:
        self._select = {"given": given, "options": [], "chosen": []}

    def _start_option(self, given: dict) -> None:
        if self._select is None:
            return
        value = given.get("value") or ""
        self._select["options"].append(value)
        if "selected" in given:
            self._select["chosen"].append(value)

    def _end_select(self) -> None:
        given, options = self._select["given"], tuple(self._select["options"])
        chosen = self._select["chosen"] or ([] if "multiple" in given else list(options[:1]))
        for value in chosen or [""]:
            box = Box(given.get("name") or "", "select", value, bool(chosen), options, attributes=given)
            self._add(given, box)
        self._select = None

    def _add(self, given: dict, box: Box) -> None:
        if given.get("form"):
            self._loose.append((given["form"], box))
        elif self._open is not None:
            self._open["boxes"].append(box)


def route_of(address: str) -> str:
    try:
        return resolve(urlsplit(address).path).view_name
    except Resolver404:
        return ""


def text_of(answer) -> str:
    """All that can be read in an answer, be it a page, a paper, a calendar or where it leads to."""
    told = " ".join(f"{name}: {value}" for name, value in answer.headers.items())
    content = answer.getvalue()
    if answer.headers.get("Content-Type", "").startswith("application/pdf"):
        return f"{told}\n{_text_of_paper(content)}"
    return f"{told}\n{content.decode(errors='replace')}"


def _text_of_paper(content: bytes) -> str:
    with pypdfium2.PdfDocument(io.BytesIO(content)) as paper:
        words = [page.get_textpage().get_text_bounded() for page in paper]
        return "\n".join([*words, str(paper.get_metadata_dict())])


@dataclass
class Crawl:
    """Every page that one person reaches by links and by forms that only ask, and every form that does more."""

    client: Client
    each_kind: int = 10_000
    pages: dict[str, str] = field(default_factory=dict)
    statuses: dict[str, int] = field(default_factory=dict)
    forms: dict[tuple[object, ...], Form] = field(default_factory=dict)
    counts: Counter[tuple[object, ...]] = field(default_factory=Counter)

    def visit(self, addresses: Iterable[str], *, most: int = 2000) -> "Crawl":
        waiting = list(dict.fromkeys(addresses))
        while waiting:
            assert len(self.pages) < most, "the crawl does not end"
            address = waiting.pop(0)
            if address not in self.pages and self._is_wanted(address):
                waiting += self._open(address)
        return self

    def _is_wanted(self, address: str) -> bool:
        """Of pages that differ only by their object and the values of their query, `each_kind` are opened."""
        parts = urlsplit(address)
        if parts.path.endswith(LAID_OUT):
            return False
        kind = (route_of(address), tuple(sorted(name for name, _ in parse_qsl(parts.query, True))))
        self.counts[kind] += 1
        return self.counts[kind] <= self.each_kind

    def _open(self, address: str) -> list[str]:
        answer = self.client.get(address)
        self.statuses[address] = answer.status_code
        self.pages[address] = text_of(answer)
        if answer.status_code in (301, 302):
            return self._ours([urljoin(address, answer.headers["Location"])])
        if not answer.headers.get("Content-Type", "").startswith("text/html"):
            return []
        page = Page(answer.content.decode(), address=address)
        asked = []
        for form in page.forms:
            if form.method == "GET":
                asked.append(f"{urlsplit(form.address).path}?{urlencode(form.defaults(), doseq=True)}")
            else:
                self.forms.setdefault(form.kind, form)
        return self._ours([*page.links, *asked])

    def _ours(self, addresses: Iterable[str]) -> list[str]:
        """Of this site, without what is no page of it."""
        found = [urldefrag(each).url for each in addresses]
        return [each for each in found if each.startswith("/") and not each.startswith(("/static/", "//"))]
