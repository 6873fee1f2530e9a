"""defectlog remedy sheet PATTERN DEFECT"""

import typer

from defectlog.cli.session import Session


def sheet(
    context: typer.Context,
    pattern: str = typer.Argument(help="The pattern's number."),
    defect: str = typer.Argument(help="The defect."),
    html: str = typer.Option("", "--html", metavar="FILE", help="Write a page to print."),
    force: bool = typer.Option(False, "--force", help="Write over a file that is there."),
) -> None:
    """The corrective-action sheet, filled from the record; what is not there is shown as a gap.

    Example: defectlog remedy sheet P-104 gas-holes --html sheet.html
    """
    from defectlog.jobs.corrective_action import corrective_action
    from defectlog.jobs.files import write_file
    from defectlog.jobs.rules import the_rules
    from defectlog.report.corrective_action import sheet_html, sheet_page
    from defectlog.report.corrective_action_json import sheet_json

    session: Session = context.obj
    rules = the_rules(session.path())
    with session.open(create=False, read_only=True) as book:
        filled = corrective_action(book, rules, pattern, defect, today=session.today())
    for text in filled.said:
        session.say(text)
    if html:
        write_file(html, sheet_html(filled, rules, session.today()).encode("utf-8"), "--html", replace=force)
        session.say(f"written: {html}")
    if not html or session.as_json:
        session.answer(lambda: sheet_json(filled, rules), lambda: sheet_page(filled, rules))
