"""defectlog export: the book out as sheets."""

from pathlib import Path

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb()
PATH = typer.Argument(help="A new folder for CSV files, or a workbook (.xlsx).")


@app.command()
def export(
    context: typer.Context,
    path: Path = PATH,
    force: bool = typer.Option(False, "--force", help="Write over sheets that are there."),
    blank: bool = typer.Option(False, "--blank", help="Write blank sheets to print into this folder."),
) -> None:
    """Write every record out, without loss: the same sheets read back give the same book.

    Example: defectlog export sheets
    """
    from defectlog.jobs.sheets import take_out
    from defectlog.report.sheets import exported_page

    session: Session = context.obj
    if blank:
        from defectlog.cli.export_blank import export_blank

        export_blank(session, path)
        return
    with session.open(create=False) as book, session.progress() as tell:
        written = take_out(book, path, replace=force, tell=tell)
    session.answer(lambda: {"path": str(path), "rows": written}, lambda: exported_page(written, path))
