"""defectlog check: is the book sound?"""

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb(no_args_is_help=False)


@app.command()
def check(context: typer.Context) -> None:
    """Is the book whole and untouched; counts that do not balance, dates out of order, unlikely readings.

    Ends with 1 when there is anything to look at.

    Example: defectlog check
    """
    from defectlog.book.checking import check_book
    from defectlog.book.records import count
    from defectlog.book.shares import share_problem
    from defectlog.book.soundness import sealed_from
    from defectlog.records.kinds import Mould
    from defectlog.report.sheets import problem_json, problems_page
    from defectlog.report.values import many

    session: Session = context.obj
    session.share_told = True  # here it is one of the things to look at
    with session.open(create=False) as book, session.progress() as tell:
        problems = check_book(book, tell=tell)
        moulds = count(book, Mould)
        acts, late, seal = sealed_from(book)
    if (problem := share_problem(session.path())) is not None:
        problems.insert(0, problem)
    if problems or session.as_json:
        session.answer(lambda: [problem_json(problem) for problem in problems], lambda: problems_page(problems))
    if acts:
        older = f", the first {late} of them when the book was brought up to date" if late else ""
        session.say(f"journal: {many(acts, 'act')}, sealed{older}; the last seal is {seal[:16]}")
    if problems:
        session.say(f"{many(len(problems), 'thing')} to look at, in {many(moulds, 'mould')}")
        raise typer.Exit(1)
    session.say(f"sound: nothing to look at, in {many(moulds, 'mould')}")
