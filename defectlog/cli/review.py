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
RATE = typer.Option([], "--rate", metavar="NAME=VALUE", help="Keep one of the shop's own rates, to cost scrap by.")


@app.command()
def review(
    context: typer.Context,
    month: str = typer.Argument("", help="2026-03, mar, last month, or 2025-06..2026-03; else last month."),
    pattern: str = typer.Option("", "--pattern", help="One pattern alone, with its places and the month's readings."),
    by: str = typer.Option("cast", "--by", help="cast: by the month cast; found: by the month found bad."),
    order: str = typer.Option("castings", "--order", help="Defects by castings, kg or cost."),
    html: str = typer.Option("", "--html", metavar="FILE", help="Write a page to print."),
    xlsx: str = typer.Option("", "--xlsx", metavar="FILE", help="Write an Excel workbook."),
    csv: str = typer.Option("", "--csv", metavar="FILE", help="Write a CSV sheet, or to stdout with -."),
    force: bool = typer.Option(False, "--force", help="Write over files that are there."),
    rate: list[str] = RATE,
) -> None:
    """A month reviewed: scrap by pattern against its own past, main defects, places, remedies.

    Example: defectlog review 2026-03 --html march.html
    """
    from typing import cast

    from defectlog.jobs.review import month_to_review, months_typed, review_of
    from defectlog.jobs.rules import the_rules
    from defectlog.report.review import review_page
    from defectlog.report.review_files import review_files
    from defectlog.report.review_json import review_as_json
    from defectlog.review.found import By
    from defectlog.review.pareto import Order

    session: Session = context.obj
    if rate:
        keep(session, rate)
        return
    chosen("--by", by)
    chosen("--order", order)
    targets = {"html": html, "xlsx": xlsx, "csv": csv}
    rules = the_rules(session.path())
    with session.open(create=False, read_only=True) as book:
        today = session.today()
        first, last = months_typed(month, today) if month else (month_to_review(book, today),) * 2
        answer = review_of(
            book,
            rules,
            first,
            last,
            by=cast(By, by),
            order=cast(Order, order),
            pattern=pattern,
            full=bool(html or xlsx),
        )
    for text in answer.said:
        session.say(text)
    wanted = {kind: target for kind, target in targets.items() if target}
    for kind, content in review_files(answer, rules, tuple(wanted), session.units, today).items():
        save(session, f"--{kind}", wanted[kind], content, replace=force)
    if not wanted or (session.as_json and csv != "-"):
        session.answer(lambda: review_as_json(answer), lambda: review_page(answer, rules, session.units))


def keep(session: Session, typed: list[str]) -> None:
    from defectlog.jobs.review_rates import keep_rates
    from defectlog.report.review_rates import rates_json, rates_page

    with session.open(create=False) as book:
        kept = keep_rates(book, typed, command=session.command, who=session.who())
    session.answer(lambda: rates_json(kept), lambda: rates_page(kept))


def chosen(option: str, typed: str) -> None:
    if typed not in CHOICES[option]:
        raise BadInput(Problem("choice-unknown", option, repr(typed), f"allowed: {', '.join(CHOICES[option])}"))


def save(session: Session, option: str, target: str, content: bytes, *, replace: bool) -> None:
    """To stdout with `-`, else to a file: whole or not at all, and over another only when asked."""
    from defectlog.jobs.files import write_file

    if target == "-" and option == "--csv":
        write(content.decode("utf-8-sig"))
        return
    write_file(target, content, option, replace=replace)
    session.say(f"written: {target}")
