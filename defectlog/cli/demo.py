"""defectlog demo"""

from pathlib import Path

import typer

from defectlog.cli.session import Session, write

app = typer.Typer(
    rich_markup_mode=None,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
# What is said before each command, and the command itself.
TOUR = (
    ("First the quarter's sheets go into an empty book.", ("import", "{sheets}")),
    (
        "A casting of the pump cover comes out of the sand bad. One line logs it; nobody is asked for a cause.",
        ("shakeout", "M-0986", "--scrap", "1", "--impression", "3", "--defect", "gas holes",
         "--seen", "round shiny holes just under the top skin", "--place", "cope near gate",
         "--found-at", "2026-03-31"),
    ),
    ("The pump cover keeps failing. Ask why.", ("why", "P-104")),
    ("At the month's end, the review.", ("review", "2026-03")),
)  # fmt: skip


@app.command()
def demo(
    context: typer.Context,
    folder: Path | None = typer.Option(
        None, "--folder", help="Keep the invented book here; else in a temporary place."
    ),
) -> None:
    """An invented shop's book and a tour: log a scrapped casting, ask why a part keeps failing, review a month.

    Example: defectlog demo
    """
    import tempfile

    from defectlog.jobs.invented_shop import write_sheets

    session: Session = context.obj
    place = folder if folder is not None else Path(tempfile.mkdtemp(prefix="defectlog-demo-"))
    book, sheets = fresh(place / "shop.db"), place / "sheets"
    write_sheets(sheets)
    write("An invented shop: nobody real, no real figures. Three people, five patterns, January to March 2026.\n")
    for why, words in TOUR:
        typed = tuple(word.format(sheets=sheets) for word in words)
        tell(why, typed)
        play(("--book", str(book), *(("--plain",) if session.plain else ()), *typed))
    write(f"\nThe book is yours to play with:\n  defectlog --book {shell(str(book))} why P-130\n")


def fresh(book: Path) -> Path:
    """Raises BadInput rather than write an invented shop into a book that is there."""
    from defectlog.errors import BadInput, Problem

    if book.exists():
        raise BadInput(
            Problem("file-there", "--folder", f"{book} is there already", "allowed: a folder without a shop.db",
                    "type another folder")
        )  # fmt: skip
    return book


def tell(why: str, typed: tuple[str, ...]) -> None:
    write(f"\n{why}\n\n$ defectlog {' '.join(shell(word) for word in typed)}\n")


def shell(word: str) -> str:
    return f'"{word}"' if " " in word else word


def play(arguments: tuple[str, ...]) -> None:
    """One command as if it were typed; a tour that fails says so with its exit code."""
    import sys

    from defectlog.cli.main import run

    sys.stdout.flush()
    code = run(list(arguments))
    if code:
        raise typer.Exit(code)
