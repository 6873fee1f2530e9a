"""defectlog rules limits list|set|remove|suggest"""

from typing import TYPE_CHECKING

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

if TYPE_CHECKING:
    from defectlog.rulebase.shapes import RuleBase

app = verb()
READING = typer.Argument(help="A reading, as in moisture_pct.")
SIDE = typer.Argument(help="above or below: on which side trouble begins.", metavar="above|below")
WHEN = typer.Option(
    [], "--when", metavar="KEY=VALUE", help="Only for this alloy, sand_base, section …; may be repeated."
)


@app.callback()
def limits() -> None:
    """Where readings go out of their window: ours with their sources, and the shop's own."""


@app.command("list")
def list_(
    context: typer.Context,
    reading: str = typer.Option("", "--reading", help="Only this reading, with the notes."),
) -> None:
    """The limits in force.

    Example: defectlog rules limits list --reading moisture_pct
    """
    from defectlog.jobs.rules import the_rules

    session: Session = context.obj
    show_limits(session, the_rules(session.path()), reading)


def show_limits(session: Session, rules: "RuleBase", reading: str = "") -> None:
    from defectlog.jobs.limits import limits_listed
    from defectlog.report.limits import limits_json, limits_page

    name = settled(session, reading, with_yes_no=True) if reading else ""
    limits = limits_listed(rules, name)
    session.answer(lambda: limits_json(limits), lambda: limits_page(limits, session.units, name))


def settled(session: Session, reading: str, *, with_yes_no: bool = False) -> str:
    """The reading that was meant; what was taken for what is said."""
    from defectlog.jobs.limit_words import reading_named

    name, said = reading_named(reading, with_yes_no=with_yes_no)
    if said:
        session.say(said)
    return name


@app.command("set")
def set_(
    context: typer.Context,
    reading: str = READING,
    side: str = SIDE,
    value: str = typer.Argument(help="Where trouble begins; metric, or with its unit: 1330 F."),
    softness: str = typer.Option(
        "", "--softness", help="Measuring error and grey zone; else as in the limit it replaces."
    ),
    when: list[str] = WHEN,
    why: str = typer.Option("", "--why", help="What showed it; kept with the limit."),
) -> None:
    """Set a limit of the shop's own. It is taken before every one of ours for that reading and side.

    Example: defectlog rules limits set moisture_pct above 4.2 --why "blows began at 4.3 in March"
    """
    from defectlog.jobs.limit_words import limit_meant
    from defectlog.jobs.limits import set_limit
    from defectlog.jobs.rules import shop_folder, the_rules
    from defectlog.report.limits import written_json, written_page

    session: Session = context.obj
    rules = the_rules(session.path())
    meant = limit_meant(rules, reading, side, when)
    if meant.said:
        session.say(meant.said)
    folder = shop_folder(session.path())
    written = set_limit(rules, folder, meant, value, softness=softness, why=why, today=session.today())
    session.answer(lambda: written_json(written), lambda: written_page(written, session.units))


@app.command()
def remove(context: typer.Context, reading: str = READING, side: str = SIDE, when: list[str] = WHEN) -> None:
    """Take a limit of the shop's own out again; ours answers in its place.

    Example: defectlog rules limits remove moisture_pct above
    """
    from defectlog.jobs.limit_words import limit_meant
    from defectlog.jobs.limits import remove_limit
    from defectlog.jobs.rules import shop_folder, the_rules
    from defectlog.report.limits import written_json, written_page

    session: Session = context.obj
    rules = the_rules(session.path())
    meant = limit_meant(rules, reading, side, when)
    if meant.said:
        session.say(meant.said)
    written = remove_limit(rules, shop_folder(session.path()), meant, today=session.today())
    session.answer(lambda: written_json(written), lambda: written_page(written, session.units))


@app.command()
def suggest(
    context: typer.Context,
    reading: str = typer.Argument("", help="One reading, with what to type; else all.", show_default=False),
    when: list[str] = WHEN,
    since: str = typer.Option("", "--since", help="First day or month of pouring; else all on record."),
) -> None:
    """Between what the readings of the shop's own good castings lie.

    Example: defectlog rules limits suggest moisture_pct
    """
    from defectlog.cli.spans import first_day
    from defectlog.jobs.limit_words import when_typed
    from defectlog.jobs.own_limits import suggest_limits
    from defectlog.jobs.rules import the_rules
    from defectlog.report.limit_suggestions import suggestions_json, suggestions_page

    session: Session = context.obj
    rules = the_rules(session.path())
    name = settled(session, reading) if reading else ""
    first = first_day(since, session.today(), "--since")
    with session.open(create=False, read_only=True) as book:
        found = suggest_limits(book, rules, name, when=when_typed(rules, when), since=first)
    session.answer(lambda: suggestions_json(found), lambda: suggestions_page(found, session.units, name))
