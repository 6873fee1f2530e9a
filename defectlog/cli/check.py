"""defectlog check: is the book sound?"""

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb(no_args_is_help=False)


@app.command()
def check(context: typer.Context) -> None:
    """Counts that do not balance, dates out of order, unlikely readings. Ends with 1 when there are any.

    Example: defectlog check
    """
    from defectlog.book.checking import check_book
    from defectlog.book.records import count
    from defectlog.records.kinds import Mould
    from defectlog.report.sheets import problem_json, problems_page
    from defectlog.report.values import many

    session: Session = context.obj
    with session.open(create=False) as book:
        problems = check_book(book)
        moulds = count(book, Mould)
    if problems or session.as_json:
        session.answer(lambda: [problem_json(problem) for problem in problems], lambda: problems_page(problems))
    if problems:
        session.say(f"{many(len(problems), 'thing')} to look at, in {many(moulds, 'mould')}")
        raise typer.Exit(1)
    session.say(f"sound: nothing to look at, in {many(moulds, 'mould')}")
