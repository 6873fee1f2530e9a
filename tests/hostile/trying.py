"""A book in which one hostile text stands in every field that holds text, and every way of showing it."""

import csv
import io
import json
import re
import unicodedata
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import date, datetime, time
from html.parser import HTMLParser
from pathlib import Path
from unittest.mock import patch

from defectlog.book.acts import writing
from defectlog.book.learned import learn, settle
from defectlog.book.open import open_book
from defectlog.book.records import find
from defectlog.cli.main import run
from defectlog.records.fields import fields_of
from defectlog.records.kinds import KINDS, Finding, Heat, Mould, Pattern, Remedy, Sand, Verdict
from defectlog.sheets.guard import PLAIN_NUMBER
from defectlog.sheets.load import import_folder

TEXT_FIELDS = [(kind, spec.name) for kind in KINDS for spec in fields_of(kind) if spec.holds == "text"]
FREE = {kind: [spec.name for spec in fields_of(kind) if spec.holds == "text" and not spec.refers_to] for kind in KINDS}
# Texts of the book that stand in no sheet: of the journal, a word of the shop's own, a setting, a limit's reason.
BESIDE = ("act.command", "act.who", "act.why", "word.word", "setting.value", "limit.why")
HARMLESS = "plain"
WAYS = ("terminal", "JSON", "HTML", "CSV", "Excel", "book")
# The plates of the last months are in use.
TODAY = date(2026, 3, 20)
MADE_BY_US = re.compile(r"\x1b\[[0-9;]*m")
TABLE_FIRST = 1


@dataclass
class Tried:
    """How many texts went through how many outputs of which sort, and what leaked."""

    texts: int = 0
    fields: int = len(TEXT_FIELDS) + len(BESIDE)
    by_way: Counter[str] = field(default_factory=Counter)
    leaks: list[str] = field(default_factory=list)

    @property
    def outputs(self) -> int:
        return sum(self.by_way.values())

    def check(self, way: str, leaked: str, where: str) -> None:
        assert way in WAYS
        self.by_way[way] += 1
        if leaked:
            self.leaks.append(f"{where}, {way}: {leaked}")


@dataclass(frozen=True)
class Shown:
    code: int
    out: str
    err: str


def type_at(book: Path, *words: str, coloured: bool = False) -> Shown:
    """One run of the program in this process; `coloured` as on a terminal with colour."""
    out, err = io.StringIO(), io.StringIO()
    patches = [patch.dict("os.environ", {"FORCE_COLOR": "1", "COLUMNS": "100", "TERM": "xterm-256color"})]
    patches.append(patch("defectlog.cli.session.Session.today", lambda _self: TODAY))
    patches.append(patch("defectlog.cli.session.Session.now", lambda _self: datetime.combine(TODAY, time(12))))
    if coloured:
        patches.append(patch("defectlog.cli.session.Session.wants_colour", lambda _self: True))
    for each in patches:
        each.start()
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code = run(["--book", str(book), *words])
    finally:
        for each in patches:
            each.stop()
    return Shown(code, out.getvalue(), err.getvalue())


def filled(book: Path, text: str) -> None:
    """One record of each kind, `text` in all its fields that hold text, names and links too."""

    def texts(kind: type) -> dict[str, str]:
        return dict.fromkeys(FREE[kind], text)

    with open_book(book) as opened, writing(opened, text[:2000] or "fill", who=text[:200], why=text[:200]) as act:
        act.add(Pattern(**{**texts(Pattern), "impressions": 4, "casting_kg": 1.0}))
        act.add(Sand(**texts(Sand), mixed_at=datetime(2026, 3, 9, 6), moisture_pct=4.0))
        act.add(Heat(**texts(Heat), melted_at=datetime(2026, 3, 9, 7)))
        made = {"pattern": text, "sand": text, "heat": text, "poured_at": datetime(2026, 3, 9, 9)}
        act.add(Mould(**{**texts(Mould), **made}))
        act.add(Mould(mould="M-2", pattern=text, poured_at=datetime(2026, 3, 9, 9)))
        for defect in (text, "gas-holes"):
            seen = {**texts(Finding), "defect": defect, "castings": 1, "disposition": "scrap"}
            act.add(Finding(**seen, mould=text, impression=2 if defect == text else 3))
            said = {**texts(Verdict), "defect": defect, "verdict": "confirmed", "decided_on": date(2026, 3, 10)}
            act.add(Verdict(**said, pattern=text))
            done = {**texts(Remedy), "defect": defect, "from_date": date(2026, 3, 10), "from_mould": text}
            act.add(Remedy(**done, pattern=text))
        learn(act, text, "gas-holes")
        settle(act, "currency", text)
        settle(act, "metal_per_kg", "3.2")
    if (said := type_at(book, "rules", "limits", "set", "moisture_pct", "above", "4", f"--why={text[:500]}")).code:
        assert said.code == 2
        assert terminal_leak(said.out + said.err) == ""


def refused_sheet(folder: Path, text: str) -> Path:
    """A sheet of which no row can be taken, the text in its title, its name and its note."""
    sheet = folder / "bad" / "moulds.csv"
    sheet.parent.mkdir()
    with sheet.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["mould", "pattern", "pour_c", "note"])
        writer.writerow([text, text, text, text])
        writer.writerow(["M-77", "", "hot", text])
    return sheet.parent


def commands(text: str) -> Iterator[tuple[str, ...]]:
    """Every answer in which a text of the book, or one just typed, is shown."""
    for verb in ("pattern", "sand", "heat", "mould"):
        yield verb, "list"
        yield verb, "show", "--", text
    yield ("history",)
    for kind in ("mould", "pattern", "heat", "sand"):
        yield "trace", "--", kind, text
        yield "history", "--", kind, text
    for more in ((), ("--table",), ("--all",), ("--explain", "sand-too-wet"), ("--defect", "gas-holes")):
        yield "why", "--since", "2026-01", *more, "--", text
    yield "review", "2026-03"
    yield "review", "2026-03", "--by", "found", "--order", "cost"
    yield "review", "2026-02..2026-03"
    yield "review", "2026-03", f"--pattern={text}"
    yield "review", "2026-03", "--csv", "-"
    yield "trace", "--csv", "-", "--", "pattern", text
    yield ("check",)
    yield "remedy", "list"
    yield "remedy", "judge", "1"
    yield "remedy", "sheet", "--", text, "gas-holes"
    yield "identify", "--", text
    yield "identify", "--learned"
    yield "rules", "limits", "list"
    yield "rules", "limits", "list", "--reading", "moisture_pct"
    yield "rules", "check"
    yield "history", "act", "1"
    yield "undo", "--dry-run"
    # what was typed comes back in a message
    yield "pattern", "show", "--", f"{text}?"
    yield "mould", "amend", "M-2", "--pour-c", text
    yield "mould", "amend", "M-2", "--note", text
    yield "heat", "add", "H-9", "--melted-at", text
    yield "sums", "--", text
    yield "rules", "show", "--", text
    yield "verdict", "M-2", text, text, "confirmed"
    yield "shakeout", "M-2", f"--seen={text}", "--scrap", "1", "--dry-run"
    yield "import", "--", text
    yield "import", "bad"
    yield "review", "--", text
    yield "review", f"--rate=currency={text}"
    yield "identify", f"--is={text}", "--", "odd"
    yield "identify", f"--forget={text}?"


def terminal_leak(text: str, *, ours: bool = False) -> str:
    """A control or direction character on its way to a terminal, but for line ends and (with `ours`) our own colour."""
    bare = MADE_BY_US.sub("", text) if ours else text
    for character in bare:
        if character != "\n" and unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp"):
            return f"U+{ord(character):04X} in {bare[max(0, bare.index(character) - 20) :][:60]!r}"
    return ""


def try_terminal(book: Path, text: str, name: str, tried: Tried) -> None:
    """Plain and coloured, standard output and standard error: no traceback, nothing that drives a terminal."""
    for words in commands(text):
        for coloured in (False, True):
            shown = type_at(book, *words, coloured=coloured)
            where = f"{name}, {words[0]} {words[1] if len(words) > 1 else ''} {'coloured' if coloured else 'plain'}"[
                :90
            ]
            bad = "" if shown.code in (0, 1, 2, 3) and "nobody foresaw" not in shown.err else shown.err[:200]
            bad = bad or ("a traceback" if "Traceback" in shown.err + shown.out else "")
            own_sheet = "--csv" in words
            leak = "" if own_sheet else terminal_leak(shown.out, ours=coloured)
            tried.check("terminal", bad or leak or terminal_leak(shown.err, ours=coloured), where)


def try_json(book: Path, text: str, name: str, tried: Tried) -> None:
    """Every document can be read, holds no bare character that a terminal would act on, and gives the text exactly."""
    exact = 0
    for words in commands(text):
        shown = type_at(book, "--json", *words)
        if "--csv" in words:
            continue
        leak = terminal_leak(shown.out)
        if shown.out.strip().startswith(("{", "[")):
            try:
                exact += text in set(texts_in(json.loads(shown.out)))
            except ValueError as error:
                leak = leak or f"no JSON: {error}"
        tried.check("JSON", leak, f"{name}, {words[0]}")
    tried.check("JSON", "" if exact >= 8 else f"the exact text stands in {exact} answers only", name)


def texts_in(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield str(key)
            yield from texts_in(item)
    elif isinstance(value, list):
        for item in value:
            yield from texts_in(item)


def records_of(book: Path) -> list[object]:
    with open_book(book, read_only=True) as opened:
        return [stored.record for kind in KINDS for stored in find(opened, kind)]


def try_sheets(book: Path, text: str, name: str, tried: Tried) -> None:
    """CSV and workbook: no cell that a spreadsheet would run, and the same records when they are read back."""
    folder = book.parent
    for target, way in ((folder / "out", "CSV"), (folder / "out.xlsx", "Excel")):
        shown = type_at(book, "export", str(target))
        tried.check(way, "" if shown.code == 0 else shown.err[:200], f"{name}, export")
        again = folder / f"again{target.suffix}.db"
        with open_book(again) as opened:
            import_folder(opened, target)
        same = records_of(book) == records_of(again)
        tried.check(way, "" if same else "records changed on the way", f"{name}, read back")
    for words in (
        ("review", "2026-03", "--csv", str(folder / "review.csv")),
        ("trace", "--csv", str(folder / "trace.csv"), "--", "pattern", text),
        ("import", str(folder / "bad"), "--report", str(folder / "report.csv")),
        ("import", str(folder / "bad"), "--take-good", "--report", str(folder / "report-2.csv")),
    ):
        shown = type_at(book, *words)
        tried.check("CSV", "" if shown.code in (0, 1, 2) else shown.err[:200], f"{name}, {words[0]}")
    sheets = sorted({*folder.glob("*.csv"), *(folder / "out").glob("*.csv"), *(folder / "bad-refused").glob("*.csv")})
    tried.check("CSV", "" if len(sheets) >= 11 else f"{len(sheets)} sheets", f"{name}, sheets")
    for sheet in sheets:
        tried.check("CSV", would_run(sheet), f"{name}, {sheet.name}")
    tried.check("Excel", acting_parts(folder / "out.xlsx"), f"{name}, export")


def would_run(sheet: Path) -> str:
    """Cells of a CSV file that a spreadsheet would take for formulas."""
    with sheet.open(encoding="utf-8-sig", newline="") as lines:
        cells = [cell for row in csv.reader(lines, strict=True) for cell in row]
    found = [cell for cell in cells if cell[:1] in tuple("=+-@\t\r＝＋－＠") and not PLAIN_NUMBER.fullmatch(cell)]
    return repr(found[:2]) if found else ""


def acting_parts(workbook: Path) -> str:
    """Formulas and links of a workbook."""
    with zipfile.ZipFile(workbook) as packed:
        inside = {item: packed.read(item) for item in packed.namelist()}
    signs = (b"<f>", b"<f ", b"<hyperlink", b"TargetMode")
    found = [item for item, content in inside.items() if any(sign in content for sign in signs)]
    return f"{found}" if found else ""


class Skeleton(HTMLParser):
    """The tags of a page with the names of their attributes, and everything that could load or run something."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.texts: list[str] = []
        self.risky: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(" ".join([tag, *(attribute for attribute, _ in attrs)]))
        self.texts += [value for _, value in attrs if value]
        for attribute, value in attrs:
            loads = attribute in ("href", "src", "action", "srcdoc", "data") and not (value or "").startswith("#")
            if loads or attribute.startswith("on"):
                self.risky.append(f"{attribute}={(value or '')[:40]}")
        if tag in ("script", "iframe", "object", "embed", "base", "meta") and tag != "meta":
            self.risky.append(tag)

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def skeleton(page: str) -> Skeleton:
    parser = Skeleton()
    parser.feed(page)
    parser.close()
    return parser


def try_pages(book: Path, harmless: Path, name: str, tried: Tried) -> None:
    """Each page to print has the same tags and attributes as that of a harmless book."""
    own, other = pages_of(book, name, tried), pages_of(harmless, "harmless", tried)
    counted = "" if len(own) == len(other) >= 5 else f"{len(own)} pages, {len(other)} of the other"
    tried.check("HTML", counted, f"{name}, pages")
    risky = sorted({item for page in own for item in page.risky} - {item for page in other for item in page.risky})
    tried.check("HTML", f"loads or runs {risky}" if risky else "", f"{name}, pages")
    different = {tag for page in own for tag in page.tags} - {tag for page in other for tag in page.tags}
    tried.check("HTML", f"other tags {sorted(different)[:4]}" if different else "", f"{name}, tags of the pages")


def pages_of(book: Path, name: str, tried: Tried) -> list[Skeleton]:
    """The month reviewed, the corrective-action sheet and the blank sheets; nothing is written beside them."""
    folder = book.parent / f"{book.stem}-pages"
    folder.mkdir()
    before = set(book.parent.rglob("*"))
    with open_book(book, read_only=True) as opened:
        pattern = find(opened, Pattern)[0].record.pattern
    for words in (
        ("review", "2026-03", "--html", str(folder / "review.html")),
        ("review", "2026-02..2026-03", "--html", str(folder / "months.html")),
        ("review", "2026-03", f"--pattern={pattern}", "--html", str(folder / "pattern.html")),
        ("remedy", "sheet", "--html", str(folder / "sheet.html"), "--", pattern, "gas-holes"),
        ("export", "--blank", str(folder / "blank")),
        ("review", "2026-03", "--xlsx", str(folder / "review.xlsx")),
    ):
        shown = type_at(book, *words)
        tried.check("HTML", "" if shown.code == 0 else shown.err[:200], f"{name}, {' '.join(words[:2])}")
    written = set(book.parent.rglob("*")) - before
    outside = [str(path) for path in written if not path.is_relative_to(folder) and ".db" not in path.name]
    tried.check("HTML", f"wrote {outside}" if outside else "", f"{name}, files")
    tried.check("Excel", acting_parts(folder / "review.xlsx"), f"{name}, review")
    pages = sorted(path for path in folder.rglob("*.html"))
    return [skeleton(path.read_text(encoding="utf-8")) for path in pages]


def try_text(name: str, text: str, folder: Path, tried: Tried) -> None:
    """All of it for one text, in a folder of its own."""
    tried.texts += 1
    book, harmless = folder / "book.db", folder / "harmless.db"
    filled(book, text)
    filled(harmless, HARMLESS)
    refused_sheet(folder, text)
    tried.check("book", "" if kept_exactly(book, text) else "changed", name)
    ways: tuple[Callable[[], None], ...] = (
        lambda: try_sheets(book, text, name, tried),
        lambda: try_pages(book, harmless, name, tried),
        lambda: try_json(book, text, name, tried),
        lambda: try_terminal(book, text, name, tried),
    )
    for way in ways:
        way()


def kept_exactly(book: Path, text: str) -> bool:
    records = records_of(book)
    first = {type(record): record for record in reversed(records)}
    return all(getattr(first[kind], name) == text for kind, name in TEXT_FIELDS)
