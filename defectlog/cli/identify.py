"""defectlog identify TEXT"""

from typing import TYPE_CHECKING, Annotated

import typer

from defectlog.cli.session import Session
from defectlog.errors import BadInput, Problem

if TYPE_CHECKING:
    from defectlog.report.identify_answers import Identified
    from defectlog.rulebase.shapes import RuleBase

MOST_QUESTIONS = 4
YES_OR_NO = {"y": "yes", "yes": "yes", "n": "no", "no": "no", "": "unsure", "u": "unsure", "unsure": "unsure"}

app = typer.Typer(
    rich_markup_mode=None,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.command()
def identify(
    context: typer.Context,
    text: Annotated[list[str] | None, typer.Argument(help="What it looks like, in your own words.")] = None,
    answer: Annotated[list[str] | None, typer.Option("--answer", help="sign=yes, no or unsure; many.")] = None,
    ask: bool = typer.Option(True, "--ask/--no-ask", help="At a terminal: ask what would tell, one at a time."),
    named: str = typer.Option("", "--is", help="That is it: learn TEXT as the shop's own word for this defect."),
    learned: bool = typer.Option(False, "--learned", help="The shop's own words so far."),
    forget: str = typer.Option("", "--forget", help="Take back a word that was learned."),
) -> None:
    """Which defect is this? Candidates, what separates them, and the one question to ask next.

    Example: defectlog identify "round shiny holes just under the top skin, ran full"
    """
    from defectlog.jobs.rules import the_rules

    session: Session = context.obj
    rules = the_rules(session.path())
    words = " ".join(text or [])
    if learned:
        show_words(session, rules)
    elif forget:
        forget_word(session, rules, forget)
    elif named:
        teach_word(session, rules, words, named)
    else:
        which(session, rules, words, answer or [], ask=ask)


def which(session: Session, rules: "RuleBase", words: str, typed: list[str], *, ask: bool) -> None:
    from defectlog.jobs.identify import answers_from, ask_which, words_of
    from defectlog.report.identify import identify_json, identify_page

    asking = ask and session.can_ask()
    if not words.strip() and not typed:
        if not asking:
            nothing = "nothing is said about the casting"
            such = 'such as: defectlog identify "round shiny holes"'
            raise BadInput(Problem("nothing-told", "identify", nothing, such))
        words = session.ask("what does it look like?")
    shop_words = words_of(session.path())
    answer = ask_which(words, rules, answers_from(typed, rules), shop_words)
    if asking:
        answer = asked_further(session, rules, answer, shop_words)
    session.answer(lambda: identify_json(answer), lambda: identify_page(answer, rules))
    if asking and answer.found.defects and not answer.found.undecided:
        that_is_it(session, rules, answer)


def asked_further(
    session: Session, rules: "RuleBase", answer: "Identified", shop_words: dict[str, str]
) -> "Identified":
    """Up to four questions, as long as it is undecided and something was understood."""
    from defectlog.jobs.identify import ask_which

    for _ in range(MOST_QUESTIONS):
        ask = answer.found.ask
        if ask is None or not answer.found.undecided or not answer.found.defects:
            break
        said = yes_or_no(session, ask.question)
        answer = ask_which(answer.found.text, rules, {**answer.answers, ask.sign: said}, shop_words)
    return answer


def yes_or_no(session: Session, question: str) -> str:
    while True:
        said = YES_OR_NO.get(session.ask(f"{question} (y, n, Enter = don't know)").casefold())
        if said is not None:
            return said
        session.say("y for yes, n for no, or Enter for don't know")


def that_is_it(session: Session, rules: "RuleBase", answer: "Identified") -> None:
    """When the person says so, the shop's own word for it is learned; Enter where there is none."""
    leader = answer.found.defects[0]
    if yes_or_no(session, f"is it {leader.name.lower()}?") != "yes":
        return
    word = session.ask("what does your shop call it? (Enter = just that)")
    if word:
        teach_word(session, rules, word, leader.defect)


def teach_word(session: Session, rules: "RuleBase", words: str, named: str) -> None:
    from defectlog.jobs.identify import teach
    from defectlog.report.identify import taught_json, taught_page

    with session.open() as book:
        taught = teach(book, rules, words, named, command=session.command, who=session.who())
    session.answer(lambda: taught_json(taught), lambda: taught_page(taught, rules))


def forget_word(session: Session, rules: "RuleBase", word: str) -> None:
    from defectlog.jobs.identify import unlearn
    from defectlog.report.identify import taught_json, taught_page

    with session.open(create=False) as book:
        taught = unlearn(book, word, command=session.command, who=session.who())
    session.answer(lambda: taught_json(taught), lambda: taught_page(taught, rules))


def show_words(session: Session, rules: "RuleBase") -> None:
    from defectlog.jobs.identify import words_of
    from defectlog.report.identify import words_json, words_page
    from defectlog.report.identify_answers import Words

    answer = Words(words_of(session.path()))
    session.answer(lambda: words_json(answer), lambda: words_page(answer, rules))
