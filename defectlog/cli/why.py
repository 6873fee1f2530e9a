"""defectlog why PATTERN"""

from typing import TYPE_CHECKING

import typer

from defectlog.cli.session import Session

if TYPE_CHECKING:
    from defectlog.jobs.why import WhyAnswer
    from defectlog.report.page import Page

app = typer.Typer(
    rich_markup_mode=None,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.command()
def why(
    context: typer.Context,
    pattern: str = typer.Argument(help="The pattern's number, or something close to it."),
    defect: str = typer.Option("", "--defect", help="This defect; else the commonest one."),
    since: str = typer.Option("", "--since", help="First day or month of pouring; else a year back."),
    until: str = typer.Option("", "--until", help="Last day or month of pouring; else the last one on record."),
    table: bool = typer.Option(False, "--table", help="Where it is and where it could be and is not, line by line."),
    explain: str = typer.Option("", "--explain", help="One cause, down to the rows behind its numbers."),
    every: bool = typer.Option(False, "--all", help="Go into every defect found on it, as --json does."),
    without_history: bool = typer.Option(False, "--without-history", help="Leave past verdicts out of the ranking."),
) -> None:
    """Why a pattern keeps failing: causes ranked, with what speaks for and against each.

    Example: defectlog why P-104 --defect gas-holes
    """
    from defectlog.cli.spans import first_day, last_day
    from defectlog.jobs.rules import the_rules
    from defectlog.jobs.why import ask_why

    session: Session = context.obj
    today = session.today()
    with session.open(create=False, read_only=True) as book:
        answer = ask_why(
            book,
            the_rules(session.path()),
            pattern,
            today=today,
            defect=defect,
            since=first_day(since, today, "--since"),
            until=last_day(until, today, "--until"),
            with_history=not without_history,
            explain=explain,
            system=session.units,
            most_defects=100 if every or session.as_json else 1,
        )
    for text in answer.said:
        session.say(text)
    session.answer(lambda: as_json(answer), lambda: page(answer, table=table))


def as_json(answer: "WhyAnswer") -> dict[str, object]:
    from defectlog.report.why_json import why_json

    return why_json(answer.diagnosis, answer.rate, answer.rules, answer.cases)


def page(answer: "WhyAnswer", *, table: bool) -> "Page":
    from defectlog.report.why import table_page, why_page
    from defectlog.report.why_explained import explained_page

    if not answer.diagnosis.defects:
        # Nothing to lay out in rows: say why, whatever was asked for.
        return why_page(answer.diagnosis, answer.rate, answer.rules, answer.cases)
    if table:
        return tuple(block for defect in answer.diagnosis.defects for block in table_page(defect, answer.rules))
    if not answer.asked.explain:
        return why_page(answer.diagnosis, answer.rate, answer.rules, answer.cases)
    return tuple(
        block
        for defect in answer.diagnosis.defects
        for block in explained_page(defect, answer.asked.explain, answer.rules, answer.asked.system, answer.provenance)
    )
