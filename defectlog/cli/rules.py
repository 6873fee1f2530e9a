"""defectlog rules list|show|check|new|limits: the rule base, and the shop's own rules laid over it."""

import typer

from defectlog.cli import rules_limits
from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb("What the trade knows: list, show, check, limits, new.")
new_app = verb()
app.add_typer(new_app, name="new", help="A file of blanks for a rule of the shop's own.")
app.add_typer(rules_limits.app, name="limits", help="Where readings go out of their window: ours and the shop's own.")


@app.callback()
def rules() -> None:
    """What the trade knows: defects, causes, limits and their sources, with the shop's own folder laid over it."""


@app.command("list")
def list_(
    context: typer.Context,
    what: str = typer.Argument(
        "",
        help="defects, causes, signs, places, limits, cautions, sources or alloys; else defects and causes.",
        show_default=False,
    ),
) -> None:
    """What the rule base holds.

    Example: defectlog rules list causes
    """
    from defectlog.jobs.rule_finding import list_named
    from defectlog.jobs.rules import the_rules
    from defectlog.report.rules import list_json, list_page

    session: Session = context.obj
    name = list_named(what)
    rule_base = the_rules(session.path())
    if name == "limits":
        rules_limits.show_limits(session, rule_base)
    else:
        session.answer(lambda: list_json(rule_base, name), lambda: list_page(rule_base, name))


@app.command()
def show(
    context: typer.Context,
    words: list[str] = typer.Argument(help="A defect or cause: its id or its name.", metavar="ID"),
) -> None:
    """Everything the rules say of a defect or a cause, with its cautions and sources.

    Example: defectlog rules show sand-too-wet
    """
    from defectlog.jobs.rule_finding import rule_named
    from defectlog.jobs.rules import the_rules
    from defectlog.report.rules import rule_json, rule_page

    session: Session = context.obj
    rule_base = the_rules(session.path())
    found = rule_named(" ".join(words), rule_base)
    if found.said:
        session.say(found.said)
    session.answer(lambda: rule_json(found, rule_base), lambda: rule_page(found, rule_base))


@app.command()
def check(
    context: typer.Context,
    folder: str = typer.Argument(
        "", help="A folder of the shop's rules; else the one beside the book.", show_default=False
    ),
) -> None:
    """Whether the rules hold together, ours and the shop's own. Ends with 1 when they do not.

    Example: defectlog rules check
    """
    from pathlib import Path

    from defectlog.jobs.rule_files import checked_rules
    from defectlog.jobs.rules import shop_folder
    from defectlog.report.rules import checked_json, checked_line, checked_page

    session: Session = context.obj
    checked = checked_rules(Path(folder) if folder else shop_folder(session.path()), named=bool(folder))
    if checked.problems or session.as_json:
        session.answer(lambda: checked_json(checked), lambda: checked_page(checked))
    session.say(checked_line(checked))
    if checked.problems:
        raise typer.Exit(1)


@new_app.callback()
def new() -> None:
    """A file of blanks for a rule of the shop's own."""


@new_app.command()
def cause(
    context: typer.Context,
    id: str = typer.Argument(help="Its id for ever: lower-case words with hyphens.", metavar="ID"),
    area: str = typer.Option(
        "", "--area", help="sand, mould, pattern, core, gating, feeding, melting, pouring, handling, design."
    ),
    acts_at: str = typer.Option("", "--acts-at", help="sand, heat, mould, moulder, impression or pattern."),
    explains: str = typer.Option("", "--explains", metavar="DEFECT", help="A defect that it brings about."),
) -> None:
    """Write a file of blanks for a new cause into the shop's folder.

    Example: defectlog rules new cause damp-shed-floor --area handling --acts-at mould --explains gas-holes
    """
    from defectlog.jobs.rule_files import make_cause
    from defectlog.jobs.rules import shop_folder, the_rules
    from defectlog.report.rules import cause_made_json, cause_made_page

    session: Session = context.obj
    made = make_cause(the_rules(session.path()), shop_folder(session.path()), id, area, acts_at, explains)
    if made.said:
        session.say(made.said)
    session.answer(lambda: cause_made_json(made), lambda: cause_made_page(made))
