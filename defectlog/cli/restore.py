"""defectlog restore: a backup in the place of the book."""

from pathlib import Path

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb()
FILE = typer.Argument(help="The backup.")


@app.command()
def restore(
    context: typer.Context,
    file: Path = FILE,
    force: bool = typer.Option(False, "--force", help="Even when acts of the present book are not in the backup."),
) -> None:
    """Put a backup, its photos too, in the place of the book. What the book had is first copied beside it.

    Example: defectlog restore copy.db
    """
    from defectlog.book.restoring import restore as put_back
    from defectlog.report.sheets import copied_json, copied_page

    session: Session = context.obj
    session.tell_of_share()
    with session.progress() as tell:
        copied = put_back(file, session.path(), force=force, tell=tell)
    session.answer(lambda: copied_json(copied), lambda: copied_page(copied, "restored"))
