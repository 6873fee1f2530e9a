"""defectlog import: sheets into the book."""

from pathlib import Path

import typer

from defectlog.cli.options import verb
from defectlog.cli.records import asked
from defectlog.cli.session import Session

app = verb()
PATH = typer.Argument(help="A folder of CSV files, one of them, or a workbook (.xlsx).")
DATES = typer.Option("", "--dates", help="How 04/03/2026 is meant: day-first or month-first.", show_default=False)
COLUMN = typer.Option([], "--column", metavar="TITLE=FIELD", help="What a column is; TITLE= leaves it out. Repeatable.")
SHEET = typer.Option([], "--sheet", metavar="NAME=KIND", help="What a sheet holds: 'Melt log=heats'. Repeatable.")
FILL_DOWN = typer.Option([], "--fill-down", metavar="FIELD", help="Merged cells: an empty one takes the value above.")
REPORT = typer.Option(None, "--report", metavar="FILE", help="Write every reason into a CSV file, one a line.")


@app.command("import")
def import_(
    context: typer.Context,
    path: Path = PATH,
    dry_run: bool = typer.Option(False, "--dry-run", help="Only say what would be written."),
    take_good: bool = typer.Option(False, "--take-good", help="Take the good rows, put the others beside the sheets."),
    dates: str = DATES,
    column: list[str] = COLUMN,
    sheet: list[str] = SHEET,
    fill_down: list[str] = FILL_DOWN,
    report: Path | None = REPORT,
) -> None:
    """Bring in sheets: all or nothing unless told otherwise, and nothing twice.

    Example: defectlog import sheets --dry-run
    """
    from defectlog.jobs.sheets import bring_in, told_by
    from defectlog.report.imports import imported_json, imported_page

    session: Session = context.obj
    told = told_by(dates, column, sheet, fill_down)
    with session.open() as book, session.progress() as tell:
        done = bring_in(
            book, path, asked(session), dry_run=dry_run, told=told, take_good=take_good, report=report, tell=tell
        )
    imported, files = done.imported, done.files
    session.answer(
        lambda: imported_json(imported, files),
        lambda: imported_page(imported, session.command, dry_run=dry_run, files=files),
    )
    if imported.refused:
        raise typer.Exit(1)
