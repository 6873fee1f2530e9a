"""defectlog import: sheets into the book."""

from pathlib import Path

import typer

from defectlog.cli.options import verb
from defectlog.cli.records import asked
from defectlog.cli.session import Session

app = verb()
PATH = typer.Argument(help="A folder of CSV files, one of them, or a workbook (.xlsx).")


@app.command("import")
def import_(
    context: typer.Context,
    path: Path = PATH,
    dry_run: bool = typer.Option(False, "--dry-run", help="Only say what would be written."),
) -> None:
    """Bring in sheets: all or nothing, and nothing twice.

    Example: defectlog import sheets --dry-run
    """
    from defectlog.jobs.sheets import bring_in
    from defectlog.report.sheets import imported_json, imported_page

    session: Session = context.obj
    with session.open() as book:
        imported = bring_in(book, path, asked(session), dry_run=dry_run)
    session.answer(lambda: imported_json(imported), lambda: imported_page(imported, str(path), dry_run=dry_run))
