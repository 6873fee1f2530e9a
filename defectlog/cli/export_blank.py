"""defectlog export --blank FOLDER: sheets to print and fill in by hand."""

from pathlib import Path

from defectlog.cli.session import Session


def export_blank(session: Session, folder: Path) -> None:
    """Mould card, sand sheet, heat log, and a shakeout tally for every plate in use."""
    from defectlog.jobs.blank_sheets import write_blank_sheets
    from defectlog.jobs.rules import the_rules
    from defectlog.report.blank_sheets import written_page

    rules = the_rules(session.path())
    with session.open(create=False, read_only=True) as book:
        paths = write_blank_sheets(book, rules, folder, today=session.today(), units=session.units)
    names = [str(path) for path in paths]
    session.answer(lambda: {"path": str(folder), "written": names}, lambda: written_page(names))
