"""Templates: no inline script or style, nothing past escaping, and fragments that stand on their own."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
TAG = re.compile(r"{%-?\s*(\w+)(.*?)%}", re.DOTALL)
UNSEEN = re.compile(r"{#.*?#}|{%\s*comment\b.*?%}.*?{%\s*endcomment\s*%}", re.DOTALL)
OPENS, ENDS = {"if", "for", "ifchanged"}, {"endif", "endfor", "endifchanged"}
TURNS = {"elif", "else", "empty"}


def _one_branch(source: str, *, last: bool) -> str:
    """The template as if each condition took its first branch, or each its last."""
    out: list[str] = []
    starts: list[
        tuple[int, bool]
    ] = []  # length of `out` where the block began, whether text is being dropped
    end = 0
    dropping = False
    for tag in TAG.finditer(source):
        if not dropping:
            out.append(source[end : tag.start()])
        end = tag.end()
        word = tag.group(1)
        if word in OPENS:
            starts.append((len(out), dropping))
        elif word in TURNS and starts:
            began, outer = starts[-1]
            if last and not outer:
                del out[began:]
            dropping = outer or not last
        elif word in ENDS and starts:
            _, dropping = starts.pop()
        elif word == "include" and not dropping:
            out.append("<included></included>")
    if not dropping:
        out.append(source[end:])
    return "".join(out)


@dataclass
class Outline(HTMLParser):
    """Root elements with their attributes, every element with its attributes, and loose text at the top."""

    roots: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    elements: list[tuple[int, str, dict[str, str]]] = field(default_factory=list)
    loose: str = ""
    depth: int = 0

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]], *, closed: bool = False) -> None:
        attributes = {name: value or "" for name, value in attrs}
        self.elements.append((self.getpos()[0], tag, attributes))
        if self.depth == 0:
            self.roots.append((tag, attributes))
        if tag not in VOID and not closed:
            self.depth += 1

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs, closed=True)

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            self.depth -= 1

    def handle_data(self, data: str) -> None:
        if self.depth == 0:
            self.loose += data.strip()


def outline(html: str) -> Outline:
    parser = Outline()
    parser.feed(re.sub(r"{{.*?}}", "value", html, flags=re.DOTALL))
    parser.close()
    return parser


def _blank(match: re.Match[str]) -> str:
    return "\n" * match.group().count("\n")


def templates(root: Path) -> Iterator[tuple[Path, str]]:
    folder = root / "templates"
    for path in sorted(folder.rglob("*.html")):
        yield path.relative_to(folder), UNSEEN.sub(_blank, path.read_text(encoding="utf-8"))


def _inline(tag: str, attributes: dict[str, str]) -> Iterator[str]:
    if tag == "script" and "src" not in attributes and attributes.get("type") != "application/json":
        yield "an inline script"
    if tag == "style":
        yield "an inline style sheet"
    for name, value in attributes.items():
        if name == "style":
            yield "a style attribute"
        elif re.match(r"on[a-z]+$|hx-on|data-hx-on", name):
            yield f"an inline handler ({name})"
        elif re.match(r"\s*(javascript|js):", value, re.IGNORECASE):
            yield f"a script in {name}"


def inline_scripts_and_styles(root: Path) -> list[str]:
    """The content policy would refuse them, silently for the person before the screen."""
    faults = []
    for path, source in templates(root):
        for line, tag, attributes in outline(TAG.sub(_blank, source)).elements:
            faults += [f"templates/{path}:{line}: {what} on <{tag}>" for what in _inline(tag, attributes)]
    return faults


def unescaped_output(root: Path) -> list[str]:
    pattern = re.compile(r"\|\s*(safe|safeseq)\b|{%\s*autoescape\s+off")
    return [
        f"templates/{path}:{number}: {found.group().strip()} lets typed text through as markup"
        for path, source in templates(root)
        for number, line in enumerate(source.splitlines(), 1)
        if (found := pattern.search(line))
    ]


def answered_alone(root: Path) -> set[str]:
    """Fragments that a view answers with: those a module names. A template tag's part is no answer."""
    named = re.compile(r"[\"']([\w/-]*\b_[\w-]+\.html)[\"']")
    return {
        name
        for path in (root / "labcases").rglob("*.py")
        if path.parent.name != "templatetags"
        for name in named.findall(path.read_text(encoding="utf-8"))
    }


def _root_faults(shapes: list[Outline]) -> Iterator[str]:
    if any(len(shape.roots) > 1 for shape in shapes):
        yield "has more than one root element"
    elif not any(shape.roots for shape in shapes):
        yield "has no root element"
    elif not all(tag == "included" or "id" in attrs for shape in shapes for tag, attrs in shape.roots):
        yield "has a root element without an id"
    if any(shape.loose for shape in shapes):
        yield "has text outside its root element"


def _branches(source: str) -> list[Outline]:
    return [outline(_one_branch(source, last=last)) for last in (False, True)]


def fragments_without_one_root(root: Path) -> list[str]:
    """htmx puts an answer in the place of one element, found by its id."""
    alone = answered_alone(root)
    return [
        f"templates/{path}: {fault}"
        for path, source in templates(root)
        if str(path) in alone
        for fault in _root_faults(_branches(source))
    ]


def elements_left_open(root: Path) -> list[str]:
    """An element that one branch opens and another closes breaks the page around it."""
    return [
        f"templates/{path}: closes more or fewer elements than it opens"
        for path, source in templates(root)
        if any(shape.depth for shape in _branches(source))
    ]


def fragments_named_but_missing(root: Path) -> list[str]:
    known = {str(path) for path, _ in templates(root)}
    return [
        f"templates/{name} is answered by a view but is not there" for name in answered_alone(root) - known
    ]


def fragments_that_no_page_includes(root: Path) -> list[str]:
    everything = "\n".join(source for _, source in templates(root))
    python = "\n".join(path.read_text(encoding="utf-8") for path in (root / "labcases").rglob("*.py"))
    return [
        f"templates/{path}: no template includes it and no module names it"
        for path, _ in templates(root)
        if path.name.startswith("_") and str(path) not in everything and str(path) not in python
    ]
