"""A printed page read back: is it well formed, and does it keep the rules that a page to print must keep?"""

from html.parser import HTMLParser
from itertools import pairwise

from defectlog.report.html import VOID

# What a page may be made of; nothing in it fetches, runs or asks.
ALLOWED = {
    "html", "head", "meta", "title", "style", "body", "main", "header", "footer", "h1", "h2", "h3", "p", "ul", "li",
    "div", "span", "strong", "small", "code", "dl", "dt", "dd", "table", "caption", "colgroup", "col", "thead", "tbody",
    "tfoot", "tr", "th", "td", "figure", "svg", "desc", "text", "line", "rect", "circle", "polygon", "polyline",
}  # fmt: skip
FETCHES = {"src", "href", "srcset", "action", "data", "poster", "background", "xlink:href"}


class Page(HTMLParser):
    """Every element in order with its attributes and the text within it; a fault is an AssertionError."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None], list[str]]] = []
        self.inside: list[int] = []
        self.declared = ""
        self.feed(text)
        self.close()
        assert not self.open, f"never closed: {self.open}"

    def handle_decl(self, decl: str) -> None:
        self.declared = decl

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag in ALLOWED, tag
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"{tag} has an attribute twice"
        assert not FETCHES & set(names), f"{tag} fetches"
        assert not any(name.startswith("on") for name in names), f"{tag} runs"
        self.elements.append((tag, dict(attrs), []))
        if tag not in VOID:
            self.open.append(tag)
            self.inside.append(len(self.elements) - 1)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, f"</{tag}> closes {self.open[-1:]}"
        self.open.pop()
        self.inside.pop()

    def handle_data(self, data: str) -> None:
        for place in self.inside:
            self.elements[place][2].append(data)

    def all(self, *tags: str) -> list[tuple[str, dict[str, str | None], str]]:
        return [(tag, given, "".join(texts)) for tag, given, texts in self.elements if tag in tags]

    def texts(self, *tags: str) -> list[str]:
        return [text for _, _, text in self.all(*tags)]


def checked(text: str) -> Page:
    """The page, when it keeps all the rules: one language, one first heading, headings in order, ids once, every
    picture with a title and a description in real text, every table with headings that say what they head."""
    page = Page(text)
    assert page.declared.lower() == "doctype html"
    assert page.elements[0][:2] == ("html", {"lang": "en-GB"})
    assert len(page.texts("title")[0]) > 3
    assert "http:" not in text and "https:" not in text and "url(" not in text and "@import" not in text
    levels = [int(tag[1]) for tag, _, _ in page.all("h1", "h2", "h3")]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels)), levels
    ids = [given["id"] for _, given, _ in page.elements if "id" in given]
    assert len(ids) == len(set(ids))
    for _, given, words in page.all("svg"):
        assert given["role"] == "img" and words.strip()
        named, described = str(given["aria-labelledby"]).split()
        assert {named, described} <= set(ids)
    for tag, given, words in page.all("title", "desc"):
        assert words.strip(), f"an empty {tag} {given}"
    for _, given, _ in page.all("th"):
        assert given.get("scope") in ("col", "row")
    assert all(words.strip() for words in page.texts("caption"))
    return page
