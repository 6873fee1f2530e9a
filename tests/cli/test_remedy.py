"""`remedy` as it is typed: the number to check is set at once, and the record judges."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import fisher_exact

from defectlog.book.open import open_book
from defectlog.book.records import find
from defectlog.records.kinds import Remedy
from tests.cli.conftest import Typing
from tests.cli.small_shop import TODAY, acts_written, days_ago, fill

# Of M-225 … M-234 (before) six have gas holes, of M-235 … M-244 (since) none.
BAD_BEFORE = ("M-225", "M-226", "M-228", "M-230", "M-231", "M-234")


@pytest.fixture
def shop(book_path: Path) -> Path:
    fill(book_path)
    return book_path


@pytest.fixture
def holed(shop: Path, typed: Typing) -> Path:
    assert typed("shakeout", *BAD_BEFORE, "--scrap", "1", "--defect", "gas-holes").code == 0
    return shop


def exact_odds(clean: int) -> float:
    """scipy's chance that none of `clean` moulds is bad by luck, six of ten having been bad before."""
    return float(fisher_exact(np.array([[0, clean], [6, 4]]), "less").pvalue)


def remedies(path: Path) -> list[Remedy]:
    with open_book(path, read_only=True) as book:
        return [stored.record for stored in find(book, Remedy)]


def test_the_number_to_check_is_set_at_once(typed: Typing, holed: Path) -> None:
    """The fewest clean moulds for which scipy's one-sided exact test gives 0.05 or less, at four castings a mould."""
    answer = typed("remedy add P-104 gas-holes 'dried the heap' --cause sand-too-wet --from-mould M-235 --owner Ann")
    assert answer.code == 0
    clean = next(n for n in range(1, 100) if exact_odds(n) <= 0.05)
    [record] = remedies(holed)
    assert record.check_castings == 4 * clean
    assert (record.from_mould, record.from_date, record.owner, record.cause) == ("M-235", None, "Ann", "sand-too-wet")
    out = " ".join(answer.out.split())
    assert "before: 6 of 10 moulds with gas holes (6 of 40 castings)" in out
    assert f"{clean} clean moulds in a row" in out
    assert "CAUTION:" in out
    assert "defectlog remedy judge 1" in out


def test_the_number_is_no_less_than_the_published_clean_run(typed: Typing, shop: Path) -> None:
    """ceil(log 0.05 / log(1 − p)): at a rate of 20 % of many moulds 14 in a row; a short record asks for more."""
    typed("shakeout M-225 M-229 M-233 M-237 --scrap 1 --defect misrun")
    typed("remedy add P-104 misrun 'hotter metal'")
    check = remedies(shop)[0].check_castings
    assert check is not None
    assert check >= 14 * 4


@pytest.mark.usefixtures("holed")
def test_the_examples_of_the_help_pages_run(typed: Typing) -> None:
    for verb in ("add", "list", "judge"):
        line = typed(f"remedy {verb} -h").out.split("Example: defectlog ")[1].split("\n\n")[0]
        assert typed(" ".join(line.split())).code == 0


def test_it_worked_with_scipys_odds(typed: Typing, holed: Path) -> None:
    typed("remedy add P-104 gas-holes 'dried the heap' --cause sand-too-wet --from-mould M-235")
    told = json.loads(typed("remedy judge 1 --json").out)
    assert told["answer"] == "worked"
    assert (told["before"]["moulds"], told["before"]["bad_moulds"]) == (10, 6)
    assert (told["since"]["moulds"], told["since"]["bad_moulds"]) == (10, 0)
    assert told["odds_of_luck"] == pytest.approx(exact_odds(10), rel=1e-9)
    assert told["on_record"] == "worked"
    assert remedies(holed)[0].verdict == "worked"


@pytest.mark.usefixtures("holed")
def test_judging_says_the_counts_and_what_to_type_next(typed: Typing) -> None:
    typed("remedy add P-104 gas-holes 'dried the heap' --cause sand-too-wet --from-mould M-235")
    out = " ".join(typed("remedy judge 1").out.split())
    assert "worked: fewer bad moulds than luck allows" in out
    assert "since (from mould M-235): 0 of 10 moulds with gas holes" in out
    assert "undo: defectlog undo 4" in out
    assert 'verdict P-104 gas-holes sand-too-wet confirmed --basis "remedy 1 worked"' in out


def test_too_soon_names_what_is_still_to_come_and_is_not_written(typed: Typing, holed: Path) -> None:
    typed("remedy add P-104 gas-holes 'dried the heap' --from-mould M-243")
    out = " ".join(typed("remedy judge 1").out.split())
    assert "too soon" in out
    assert "still to come: about" in out
    assert remedies(holed)[0].verdict is None
    assert "CAUTION" not in out


@pytest.mark.usefixtures("shop")
def test_made_worse(typed: Typing) -> None:
    typed("shakeout M-236 M-237 M-238 M-239 M-240 M-241 M-242 --scrap 1 --defect misrun")
    typed("remedy add P-104 misrun 'colder metal' --from-mould M-235")
    assert "made worse" in typed("remedy judge 1").out


@pytest.mark.usefixtures("holed")
def test_no_effect_seen(typed: Typing) -> None:
    typed("shakeout M-236 M-237 M-238 M-240 M-241 M-242 --scrap 1 --defect gas-holes")
    typed("remedy add P-104 gas-holes 'more vents' --from-mould M-235 --check-castings 8")
    out = " ".join(typed("remedy judge 1").out.split())
    assert "no effect seen" in out
    assert "look again: defectlog why P-104 --defect gas-holes" in out


def test_the_shop_may_judge_for_itself(typed: Typing, holed: Path) -> None:
    typed("remedy add P-104 gas-holes 'dried the heap' --from-mould M-243")
    assert typed("remedy judge 1 --verdict 'no effect seen'").code == 0
    assert remedies(holed)[0].verdict == "no effect seen"
    wrong = typed("remedy judge 1 --verdict workd")
    assert wrong.code == 2
    assert "did you mean 'worked'" in wrong.err


def test_with_nothing_bad_before_there_is_no_number(typed: Typing, shop: Path) -> None:
    answer = typed("remedy add P-104 misrun 'hotter metal'")
    assert "no number can be reckoned" in " ".join(answer.out.split())
    assert remedies(shop)[0].check_castings is None
    typed("remedy add P-104 misrun 'hotter yet' --check-castings 40")
    assert remedies(shop)[1].check_castings == 40


@pytest.mark.usefixtures("holed")
def test_two_changes_at_once_are_warned_of(typed: Typing) -> None:
    typed("remedy add P-104 gas-holes 'dried the heap'")
    out = " ".join(typed("remedy add P-104 'gas holes' 'more vents'").out.split())
    assert "still being checked on the same defect: remedy 1" in out


def test_a_dangerous_change_is_answered_and_still_on_record(typed: Typing, shop: Path) -> None:
    answer = typed("remedy add P-104 misrun 'charge wet ingot to save gas'")
    assert answer.out.startswith("CAUTION: No.")
    assert len(remedies(shop)) == 1


@pytest.mark.usefixtures("holed")
def test_the_list(typed: Typing) -> None:
    assert "No remedy is on record" in typed("remedy list").out
    typed("remedy add P-104 gas-holes '[b]dried <i> =1+1' --from-date yesterday")
    out = typed("remedy list P-104").out
    assert "[b]dried <i> =1+1" in out
    assert "6 of 20" in out
    told = json.loads(typed("remedy list --json").out)
    assert told["remedies"][0]["remedy"]["from_date"] == days_ago(1).date().isoformat()
    typed("remedy judge 1 --verdict worked")
    assert "No remedy is on record" in typed("remedy judge").out


def test_a_change_with_no_day_named_holds_from_today(typed: Typing, shop: Path) -> None:
    typed("remedy add P-104 misrun 'hotter metal'")
    assert remedies(shop)[0].from_date == TODAY


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("remedy add P-999 misrun x", "P-999 is not in the book"),
        ("remedy add P-104 blows x", "not one clear defect"),
        ("remedy add P-104 misrun ''", "nothing is written here"),
        ("remedy add P-104 misrun x --cause frobnicate", "no cause that the rules know"),
        ("remedy add P-104 misrun x --from-mould M-999", "M-999 is not in the book"),
        ("remedy add P-104 misrun x --from-mould M-303", "M-303 is not a mould of P-104"),
        ("remedy add P-104 misrun x --from-date 2026-13-01", "there is no such day"),
        ("remedy add P-104 misrun x --from-mould M-235 --from-date today", "allowed: one of them"),
        ("remedy add P-104 misrun x --check-castings 5,1", "'5,1' is not a whole number"),
        ("remedy add P-104 misrun", "Missing argument"),
        ("remedy judge 77", "there is no remedy '77'"),
        ("remedy judge M-231", "there is no remedy 'M-231'"),
        ("remedy list P-999", "P-999 is not in the book"),
    ],
)
def test_what_cannot_be_taken(typed: Typing, shop: Path, line: str, said: str) -> None:
    answer = typed(line)
    assert answer.code == 2
    assert said in answer.err
    assert acts_written(shop) == 1


def test_a_remedy_that_got_no_answer_is_written_once(
    typed: Typing, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing names a remedy, so the same words again would be a second one."""
    line = "remedy add P-104 misrun 'hotter metal'"

    def broken(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as stopping:
        stopping.setattr("defectlog.report.remedies.added_page", broken)
        assert typed(line).code == 130
    assert len(remedies(shop)) == 1
    monkeypatch.setattr("defectlog.book.unanswered.runs", lambda _: False)
    again = typed(line)
    assert again.code == 0
    assert "already in, written by act 2; nothing was changed" in " ".join(again.out.split())
    assert len(remedies(shop)) == 1
    assert typed(line).code == 0
    assert len(remedies(shop)) == 2
