"""The questions of `shakeout M-231` at a terminal: one key an answer, Enter for "don't know", never a cause."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from defectlog.book.open import Book
from defectlog.cli.session import Session
from defectlog.errors import BadInput
from defectlog.jobs.bench import Bench, cannot_be_shaken_out, lay_out, meant, raise_if
from defectlog.jobs.commonest import Choice, commonest_defects, places
from defectlog.jobs.shakeout import Told
from defectlog.records.cells import seen_text
from defectlog.report.values import many
from defectlog.rulebase.shapes import RuleBase

KEYS = {"s": "scrap", "r": "rework", "u": "use as is", "x": "undecided"}
WHAT_BECOMES = "scrap s, rework r, use as is u, undecided x"


class Questions:
    """Asks of each mould in turn; what nobody knows is left out and not asked again."""

    def __init__(self, session: Session, book: Book, rules: RuleBase) -> None:
        self.session = session
        self.book = book
        self.rules = rules

    def about(self, told: Told) -> Sequence[Told]:
        """Raises BadInput for moulds that cannot be shaken out, before anything is asked."""
        laid = meant(self.book, told.moulds)
        for text in laid.said:
            self.session.say(text)
        benches = lay_out(self.book, laid.names)
        now = self.session.now()
        raise_if(
            problem for bench in benches.values() for problem in cannot_be_shaken_out(bench, now, told.found_at, "")
        )
        return [item for bench in benches.values() for item in self.of_mould(bench, replace(told, moulds=bench.name))]

    def of_mould(self, bench: Bench, told: Told) -> Iterator[Told]:
        """What is said of one mould: nothing, that it is good, or one Told for each thing that becomes of castings."""
        number = self.how_many(bench)
        if number is None:
            return
        if number == 0:
            yield replace(told, good=True)
            return
        ways = self.what_becomes(number)
        impressions = self.which(bench, number)
        defect, seen = self.what_it_looks_like(bench)
        place = told.place or self.where()
        for way in dict.fromkeys(ways):
            spots = tuple(spot for spot, each in zip(impressions, ways, strict=False) if each == way)
            yield replace(told, counts={way: ways.count(way)}, impressions=spots, defect=defect, seen=seen, place=place)

    def how_many(self, bench: Bench) -> int | None:
        left = bench.castings - bench.bad
        already = f", {bench.bad} of them on record as bad" if bench.bad else ""
        head = f"{bench.name}, {bench.mould.pattern}, {many(bench.castings, 'casting')}{already}"
        while True:
            typed = self.session.ask(f"{head}: how many bad? (0 = {'no more' if bench.bad else 'all good'})")
            if not typed or (typed == "0" and bench.bad):
                return None
            if typed.isascii() and typed.isdigit() and int(typed) <= left:
                return int(typed)
            self.session.say(f"a number from 0 to {left}, or Enter for don't know")

    def what_becomes(self, number: int) -> list[str]:
        """One disposition a casting; one key for all of them, or one each ("ssr")."""
        each = "" if number == 1 else f" – one key for all, or {number} keys"
        while True:
            typed = self.session.ask(f"what becomes of {'it' if number == 1 else 'them'}? {WHAT_BECOMES}{each}")
            keys = typed.casefold().replace(" ", "").replace(",", "") or "x"
            if all(key in KEYS for key in keys) and len(keys) in (1, number):
                return [KEYS[key] for key in (keys * number if len(keys) == 1 else keys)]
            self.session.say(f"keys: {WHAT_BECOMES}; or Enter for don't know")

    def which(self, bench: Bench, number: int) -> tuple[int, ...]:
        """As many impressions as castings, or none."""
        if bench.impressions == 1:
            return (1,) if number == 1 and bench.charged_at(1) is None else ()
        while True:
            typed = self.session.ask(f"which impression{'' if number == 1 else 's'}, 1 to {bench.impressions}?")
            words = typed.replace(",", " ").split()
            spots = [int(word) for word in words if word.isascii() and word.isdigit()]
            fits = all(1 <= spot <= bench.impressions and bench.charged_at(spot) is None for spot in spots)
            if not words or (fits and len(spots) == len(words) == len(set(spots)) == number):
                return tuple(spots)
            taken = [str(spot) for spot in range(1, bench.impressions + 1) if bench.charged_at(spot)]
            free = f", not {' or '.join(taken)}: on record as bad already" if taken else ""
            self.session.say(f"{many(number, 'number')} from 1 to {bench.impressions}{free}; or Enter for don't know")

    def what_it_looks_like(self, bench: Bench) -> tuple[str, str]:
        """(defect, seen): a defect only if it was picked from the list; typed words are what was seen."""
        choices = commonest_defects(self.book, self.rules, bench.mould.pattern, self.session.today())
        return self.picked("what does it look like? A number, or say it in your own words", choices)

    def where(self) -> str:
        place, words = self.picked("where on the casting? A number, or words", places(self.rules))
        return place or words

    def picked(self, question: str, choices: Sequence[Choice]) -> tuple[str, str]:
        """(id, "") for a number of the list, ("", text) for words, two empty texts for Enter."""
        for number, choice in enumerate(choices, 1):
            self.session.say(f"  {number:>2}  {choice.shown}")
        while True:
            try:
                typed = seen_text(self.session.ask(question))
            except BadInput as error:
                # An arrow key at the prompt types characters that cannot be seen: ask again, keep what was answered.
                self.session.say(f"{error.problems[0].found}: once more, please")
                continue
            if not (typed.isascii() and typed.isdigit()):
                return "", typed
            if 1 <= int(typed) <= len(choices):
                return choices[int(typed) - 1].id, ""
            self.session.say(f"a number from 1 to {len(choices)}, or words, or Enter for don't know")
