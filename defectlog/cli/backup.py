"""defectlog backup: a verified copy of the book."""

from pathlib import Path

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb()
FILE = typer.Argument(help="Where the copy goes: another disc or a stick.")


@app.command()
def backup(
    context: typer.Context,
    file: Path = FILE,
    force: bool = typer.Option(False, "--force", help="Write over a file that is there."),
) -> None:
    """Copy the book, its journal too, into one file, its photos beside it, and look the copy over.

    Example: defectlog backup copy.db
    """
    from defectlog.book.backup import backup as copy
    from defectlog.report.sheets import copied_json, copied_page

    session: Session = context.obj
    with session.open(create=False) as book, session.progress() as tell:
        copied = copy(book, file, replace=force, tell=tell)
    session.answer(lambda: copied_json(copied), lambda: copied_page(copied, "backup"))
