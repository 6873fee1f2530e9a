"""defectlog review [MONTH]"""

import typer

from defectlog.cli.session import Session, write
from defectlog.errors import BadInput, Problem

app = typer.Typer(
    rich_markup_mode=None,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
CHOICES = {"--by": ("cast", "found"), "--order": ("castings", "kg", "cost")}


@app.command()
def review(
    context: typer.Context,
    month: str = typer.Argument("", help="2026-03, mar, last month; else last month."),
    pattern: str = typer.Option("", "--pattern", help="One pattern alone."),
    by: str = typer.Option("cast", "--by", help="cast: by the month cast; found: by the month found bad."),
    order: str = typer.Option("castings", "--order", help="Defects by castings, kg or cost."),
    csv: str = typer.Option("", "--csv", help="Write a CSV sheet to this file, or to stdout with -."),
) -> None:
    """A month reviewed: scrap by pattern against its own past, main defects, places, remedies.

    Example: defectlog review 2026-03
    """
    from typing import cast

    from defectlog.dates import parse_month
    from defectlog.jobs.review import month_to_review, review_of
    from defectlog.jobs.rules import the_rules
    from defectlog.review.found import By
    from defectlog.review.pareto import Order

    session: Session = context.obj
    chosen("--by", by)
    chosen("--order", order)
    rules = the_rules(session.path())
    with session.open(create=False, read_only=True) as book:
        first = parse_month(month, session.today(), "month") if month else month_to_review(book, session.today())
        answer = review_of(book, rules, first, by=cast(By, by), order=cast(Order, order), pattern=pattern)
    for text in answer.said:
        session.say(text)
    if csv:
        from defectlog.report.review_csv import review_csv

        save(session, csv, review_csv(answer.review))
        return
    from defectlog.report.review import review_page
    from defectlog.review.month_json import month_as_json

    session.answer(lambda: month_as_json(answer.review), lambda: review_page(answer.review, rules, answer.pattern))


def chosen(option: str, typed: str) -> None:
    if typed not in CHOICES[option]:
        raise BadInput(Problem("choice-unknown", option, repr(typed), f"allowed: {', '.join(CHOICES[option])}"))


def save(session: Session, target: str, text: str) -> None:
    """To a file that is not there yet, or to stdout with `-`."""
    from pathlib import Path

    if target == "-":
        write(text)
        return
    path = Path(target)
    try:
        with path.open("x", encoding="utf-8-sig", newline="") as file:
            file.write(text)
    except FileExistsError:
        raise BadInput(
            Problem("file-there", "--csv", f"{target} is there already", "", "type another name, or remove it first")
        ) from None
    except OSError as error:
        raise BadInput(Problem("file-not-written", "--csv", f"{target}: {error.strerror}")) from None
    session.say(f"written: {target}")
