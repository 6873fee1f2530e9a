"""No text of the book, of a sheet or of a command acts on the terminal, page or sheet that shows it."""

from datetime import datetime
from pathlib import Path

import pytest

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.errors import BadInput
from defectlog.records.cells import parse_cell
from defectlog.records.fields import field_of
from defectlog.records.kinds import Mould, Pattern
from tests.hostile.strings import FEW, KEPT, LINE_ENDS, REFUSED
from tests.hostile.trying import TEXT_FIELDS, Tried, skeleton, terminal_leak, try_text, type_at


@pytest.mark.parametrize("name", FEW)
def test_a_hostile_text_is_shown_everywhere_and_acts_nowhere(name: str, tmp_path: Path) -> None:
    tried = Tried()
    try_text(name, KEPT[name], tmp_path, tried)
    assert tried.leaks == []
    assert tried.outputs > 100


def refused_everywhere(name: str, text: str) -> list[str]:
    """The fields that take a text which no record keeps."""
    taken = []
    for kind, field in TEXT_FIELDS:
        try:
            parse_cell(field_of(kind, field), text, "here")
        except BadInput as error:
            said = str(error)
            if terminal_leak(said) == "" or error.problems[0].code in ("text-unseen", "text-long"):
                continue
        taken.append(f"{name} is taken as {kind.__name__}.{field}")
    return taken


@pytest.mark.parametrize("name", REFUSED)
def test_what_nobody_can_see_or_keep_is_refused_with_a_plain_message(name: str, tmp_path: Path) -> None:
    text = REFUSED[name]
    assert refused_everywhere(name, text) == []
    with open_book(tmp_path / "b.db") as book, pytest.raises(BadInput), writing(book, "x") as act:
        act.add(Pattern(pattern="P-1", impressions=1, note=text))
    answer = type_at(tmp_path / "b.db", "pattern", "add", "P-2", "--impressions", "1", "--note", text)
    assert answer.code == 2
    assert terminal_leak(answer.out + answer.err) == ""
    assert len(answer.err) < 1000


@pytest.mark.parametrize("name", LINE_ENDS)
def test_a_carriage_return_is_a_line_end(name: str) -> None:
    assert parse_cell(field_of(Mould, "note"), LINE_ENDS[name]) == "real\nfake"


def test_hostile_texts_come_in_by_sheets_as_they_are(tmp_path: Path) -> None:
    """Every text in one sheet, as a name and as a note; guarded against being run where it must be."""
    lines = ["pattern,impressions,note"]
    kept = [text.strip() for text in KEPT.values() if text.strip()]
    for number, text in enumerate(kept):
        cell = text.replace('"', '""')
        guard = "'" if text.lstrip("'")[:1] in set("=+-@＝＋－＠") and not text[1:].isdigit() else ""
        lines.append(f'P-{number},1,"{guard}{cell}"')
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "patterns.csv").write_text("\n".join(lines), encoding="utf-8", newline="")
    assert type_at(tmp_path / "b.db", "import", str(tmp_path / "in")).code == 0
    with open_book(tmp_path / "b.db", read_only=True) as book:
        notes = [note for (note,) in book.rows("SELECT note FROM pattern ORDER BY id")]
    assert notes == kept


@pytest.mark.parametrize(
    "raw",
    [
        b"mould,pattern\nM-1,\x80\x81\xff\n",
        b"\xff\xfem\x00",
        "mould,pattern\nM-1,P-1\n".encode("utf-16"),
        "mould,pattern\nM-1,P-1\n".encode("utf-32"),
        b"mould,pattern\nM-1,\xed\xa0\x80\n",
        b"mould,pattern\nM-1,\xc0\xaf\n",
        b"mould,pattern\x00\nM-1,P-1\n",
        b"\x1f\x8b\x08\x00garbage",
        b"mould,pattern\nM-1," + b"x" * 10_000_000 + b"\n",
        b"," * 100_000,
        b'"' * 99_999,
        b"\r\r\r\n\n\r",
    ],
)
def test_files_in_a_bad_encoding_are_refused_or_read_and_never_a_traceback(tmp_path: Path, raw: bytes) -> None:
    (tmp_path / "moulds.csv").write_bytes(raw)
    answer = type_at(tmp_path / "b.db", "import", str(tmp_path / "moulds.csv"))
    assert answer.code == 2
    assert "nobody foresaw" not in answer.err
    assert terminal_leak(answer.err) == ""
    assert answer.err.count("\n") >= 2


def test_a_link_in_a_folder_cannot_lead_out_of_it(tmp_path: Path) -> None:
    outside, inside = tmp_path / "outside", tmp_path / "inside"
    outside.mkdir()
    inside.mkdir()
    (outside / "private.csv").write_text("pattern,impressions\nP-1,4\n")
    (inside / "patterns.csv").symlink_to(outside / "private.csv")
    answer = type_at(tmp_path / "b.db", "import", str(inside))
    assert answer.code == 2
    assert "link to a file in another folder" in answer.err
    (inside / "patterns.csv").unlink()
    (inside / "moulds.csv").symlink_to("/dev/zero")
    assert type_at(tmp_path / "b.db", "import", str(inside)).code == 2
    assert type_at(tmp_path / "b.db", "import", str(inside / "moulds.csv")).code == 2


def test_names_of_sheets_and_files_are_shown_and_not_followed(tmp_path: Path) -> None:
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "\u202e[red]<b>\x1b[31m.csv").write_text("x\n1\n")
    (folder / "..csv").write_text("x\n1\n")
    (folder / "patterns.csv").write_text("pattern,impressions\nP-1,4\n")
    answer = type_at(tmp_path / "b.db", "import", str(folder))
    assert answer.code == 0
    assert terminal_leak(answer.out + answer.err) == ""


def test_a_cell_that_names_a_photo_elsewhere_opens_nothing(tmp_path: Path) -> None:
    with open_book(tmp_path / "b.db") as book, writing(book, "x") as act:
        act.add(Pattern(pattern="P-1", impressions=1))
        act.add(Mould(mould="M-1", pattern="P-1", poured_at=datetime(2026, 3, 9)))
    sheet = tmp_path / "findings.csv"
    sheet.write_text("mould,defect,photo\nM-1,misrun,../../etc/passwd\n")
    assert type_at(tmp_path / "b.db", "import", str(sheet)).code == 0
    answer = type_at(tmp_path / "b.db", "export", str(tmp_path / "out"))
    assert answer.code == 0
    assert {item.name for item in (tmp_path / "out").iterdir() if item.suffix != ".csv"} == set()


def test_the_lookout_sees_what_it_is_there_to_see() -> None:
    """A check that cannot fail would prove nothing."""
    assert terminal_leak("a\x1b[2Jb")
    assert terminal_leak("\x1b[1mours\x1b[0m", ours=True) == ""
    assert terminal_leak("\x1b]0;x\x07", ours=True)
    assert terminal_leak("\u202e")
    assert skeleton("<p><img src=x onerror=y></p>").risky == ["src=x", "onerror=y"]
    assert skeleton("&lt;img src=x onerror=y&gt;").risky == []


@pytest.mark.parametrize("place", [".", "/", "..", ""])
@pytest.mark.parametrize("line", ["mould list", "why P-1", "restore .", "shakeout M-1 --good", "check", "import ."])
def test_a_folder_is_no_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: str, line: str) -> None:
    monkeypatch.chdir(tmp_path)
    answer = type_at(Path(place), *line.split())
    assert answer.code in (2, 3)
    assert "nobody foresaw" not in answer.err


@pytest.mark.parametrize("word", ["a\udc80b", "\x00", "a\ud800"])
@pytest.mark.parametrize("line", [("trace",), ("mould", "show"), ("backup",), ("why",), ("rules", "show")])
def test_a_word_with_a_byte_that_is_no_letter(tmp_path: Path, line: tuple[str, ...], word: str) -> None:
    """As a shell passes on a name in another encoding; in the name of a file it may be right."""
    with open_book(tmp_path / "b.db"):
        pass
    answer = type_at(tmp_path / "b.db", *line, word if line != ("backup",) else str(tmp_path / word))
    assert answer.code in ((0, 2) if line == ("backup",) else (2,))
    assert "nobody foresaw" not in answer.err
    assert terminal_leak(answer.err + answer.out) == ""
