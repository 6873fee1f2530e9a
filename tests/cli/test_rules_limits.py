"""The shop's own limits: listed beside ours, set, taken out again, and suggested by its own good castings."""

import json
import shlex
import tomllib
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand
from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.load import load_rules
from tests.cli.conftest import Typing
from tests.cli.small_shop import days_ago
from tests.cli.test_rules import example, flat


@pytest.fixture(autouse=True)
def own_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DEFECTLOG_SHOP_RULES", raising=False)


@pytest.fixture
def file(book_path: Path) -> Path:
    return book_path.with_suffix(".rules") / "limits.toml"


def rows(file: Path) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads(file.read_text(encoding="utf-8"))["limit"]
    return found


def undo_of(out: str) -> str:
    """The command behind "undo:", on its line or the next."""
    after = out.split("undo:", 1)[1].strip()
    return after.splitlines()[0].strip().removeprefix("defectlog ")


def test_the_examples_of_the_help_pages_work(typed: Typing, book_path: Path) -> None:
    fill(book_path)
    for page in ("list", "set", "remove", "suggest"):
        line = example(typed, f"rules limits {page}")
        assert line.startswith(f"rules limits {page}")
        answer = typed(line)
        assert answer.code == 0, answer.err


def test_the_list_holds_every_limit_and_their_sources_in_full_for_one(typed: Typing) -> None:
    assert len(json.loads(typed("rules limits list --json").out)) == len(load_rules().limits)
    said = flat(typed("rules limits list --reading moisture_pct").out)
    assert "4.5 %" in said and "sand base natural" in said
    assert "Sources disagree: tables say 8.5" in said and "heine-loper" in said
    assert "None of these is a norm" in said


def test_a_reading_may_be_said_in_words_or_misspelt(typed: Typing) -> None:
    exact = typed("rules limits list --reading moisture_pct")
    for words in ("moisture", "Moisture", "moisture-pct", "moisture_pc"):
        answer = typed("rules", "limits", "list", "--reading", words)
        assert answer.out == exact.out
    assert "taking moisture_pct (moisture) for 'moisture'" in typed("rules limits list --reading moisture").err
    wrong = typed("rules limits list --reading qqqqqq")
    assert wrong.code == 2 and "there is no reading 'qqqqqq'" in wrong.err


def test_limits_are_shown_in_us_units_and_a_width_is_no_temperature(typed: Typing) -> None:
    """49 °C are 120.2 °F; 4 degrees C wide are 7.2 degrees F wide (NIST SP 811)."""
    said = flat(typed("rules limits list --reading sand_c --units us").out)
    assert "120.2 °F 7.2 °F" in said


def test_a_limit_set_is_written_said_and_believed(typed: Typing, file: Path) -> None:
    answer = typed("rules limits set moisture_pct above 4.2 --why 'blows began at 4.3'")
    assert answer.code == 0 and answer.err == ""
    said = flat(answer.out)
    assert "set: moisture_pct above 4.2 % (in doubt within 0.4 % of it)" in said
    assert "taken before ours of 4.5 % and 3 narrower ones of ours" in said
    assert str(file) in answer.out
    assert "undo: defectlog rules limits remove moisture_pct above" in said
    assert rows(file) == [
        {"id": "shop-moisture-pct-above", "reading": "moisture_pct", "side": "above", "value": 4.2, "softness": 0.4,
         "judgement": "blows began at 4.3"}
    ]  # fmt: skip
    limit = limit_for(load_rules(shop_folder=file.parent).limits, "moisture_pct", "above", {"sand_base": "natural"})
    assert limit is not None and limit.own and limit.value == 4.2
    assert typed("rules check").code == 0


def test_setting_it_again_says_what_it_replaced_and_how_to_have_it_back(typed: Typing, file: Path) -> None:
    typed("rules", "limits", "set", "moisture_pct", "above", "4,2", "--why", 'it\'s the "wet" one; $HOME `x` \\ !')
    before = rows(file)
    answer = typed("rules limits set moisture_pct above 4.6 --softness 0.2")
    assert "It replaces the shop's own moisture_pct above 4.2 %" in flat(answer.out)
    assert [row["value"] for row in rows(file)] == [4.6]
    assert "# value = 4.2" in file.read_text(encoding="utf-8")
    undone = typed(*shlex.split(undo_of(answer.out)))
    assert undone.code == 0
    assert rows(file) == before


def test_a_first_limit_can_be_taken_out_again_and_that_be_undone(typed: Typing, file: Path) -> None:
    typed("rules limits set pour_c above 735 --when alloy=356 --why measured")
    before = rows(file)
    removed = typed("rules limits remove pour_c above --when alloy=356")
    assert removed.code == 0
    assert "taken out: pour_c above 735 °C for alloy 356" in flat(removed.out)
    assert tomllib.loads(file.read_text(encoding="utf-8")) == {}
    assert "# value = 735.0" in file.read_text(encoding="utf-8")
    assert typed("rules check").code == 0
    typed(*shlex.split(undo_of(removed.out)))
    assert rows(file) == before


def test_what_a_person_wrote_in_the_file_stays(typed: Typing, file: Path) -> None:
    mine = """\
# Ann's limits, measured in spring.

[[limit]]   # the good tester
id = "ours-hardness"
reading = "hardness_b"
side = "above"
value = 88      # not 90
softness = 3
judgement = "Measured."
"""
    file.parent.mkdir()
    file.write_text(mine, encoding="utf-8")
    typed("rules limits set moisture_pct above 4.2")
    assert file.read_text(encoding="utf-8").startswith(mine)
    typed("rules limits set hardness_b above 87")
    after = file.read_text(encoding="utf-8")
    assert after.startswith("# Ann's limits, measured in spring.\n")
    assert "# value = 88      # not 90" in after
    assert {row["id"]: row["value"] for row in rows(file)} == {"ours-hardness": 87.0, "shop-moisture-pct-above": 4.2}
    assert list(file.parent.iterdir()) == [file]


def test_units_go_in_with_the_value(typed: Typing, file: Path) -> None:
    """1364 °F are 740 °C; 18 degrees F wide are 10 degrees C wide."""
    answer = typed("rules", "limits", "set", "pour_c", "above", "1364 F", "--softness", "18 F", "--units", "us")
    assert rows(file)[0]["value"] == pytest.approx(740)
    assert rows(file)[0]["softness"] == pytest.approx(10)
    assert "set: pour_c above 1364 °F (in doubt within 18 °F of it)" in flat(answer.out)


def test_circumstances_are_settled_and_narrow_it(typed: Typing, file: Path) -> None:
    answer = typed("rules limits set pour_c above 735 --when alloy=a356 --when Section=Thin")
    assert answer.code == 0
    assert rows(file)[0]["when"] == {"alloy": "356", "section": "thin"}
    assert "For alloy 356, section thin it is taken before every limit of ours for pour_c above" in flat(answer.out)
    typed("rules limits set pour_c above 725")
    assert [row["value"] for row in rows(file)] == [735.0, 725.0]


def test_a_limit_that_no_cause_uses_says_so(typed: Typing) -> None:
    said = flat(typed("rules limits set sand_c below 10 --softness 3").out)
    assert "No cause in the rules is shown by sand_c below a limit" in said


def test_both_sides_may_not_cross(typed: Typing, file: Path) -> None:
    typed("rules limits set moisture_pct above 4.2")
    answer = typed("rules limits set moisture_pct below 4.5")
    assert answer.code == 2
    assert "too low below 4.5, and too high above 4.2" in answer.err
    assert len(rows(file)) == 1


def test_crossing_one_of_ours_is_warned_of(typed: Typing) -> None:
    answer = typed("rules limits set moisture_pct above 2.5")
    assert answer.code == 0
    assert "CAUTION: Every reading is now beyond one side or the other: moisture_pct below 3 %" in flat(answer.out)


def test_everything_that_is_wrong_is_said_at_once(typed: Typing, file: Path) -> None:
    answer = typed("rules limits set qqqqqq abvoe 5 --when aloy=356 --when alloy=999 --when sand_base")
    assert answer.code == 2
    for said in (
        "there is no reading 'qqqqqq'",
        "did you mean 'above'?",
        "there is no circumstance 'aloy'",
        "did you mean 'alloy'?",
        "there is no alloy '999'",
        "'sand_base' has no value",
    ):
        assert said in answer.err
    second = typed("rules limits set moisture_pct above wet --softness -1")
    assert "'wet' is not a number" in second.err and "'-1' is no width" in second.err
    assert not file.exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("moisture_pct above 450", "allowed: 0 to 100"),
        ("moisture_pct above 5C", "another kind of unit"),
        ("moisture_pct above 5,125", "could be thousands or a decimal comma"),
        ("moisture_pct above nan", "is not a number"),
        ("moisture_pct above =1+1", "is not a number"),
        ("vented below 1", "vented is answered yes or no"),
        ("sand_c below 10", "it must be said"),
    ],
)
def test_values_that_cannot_be_are_refused(typed: Typing, file: Path, words: str, said: str) -> None:
    answer = typed(f"rules limits set {words}")
    assert answer.code == 2
    assert said in answer.err
    assert not file.exists()


@pytest.mark.parametrize(
    "why", ['"]\n[[limit]]\nid = "evil"', "\\u0041 \\", "[red]<b>=1+1", '"""', "# no comment", "ü 漢"]
)
def test_text_of_the_user_is_data_in_the_file(typed: Typing, file: Path, why: str) -> None:
    assert typed("rules", "limits", "set", "moisture_pct", "above", "4.2", "--why", why).code == 0
    assert rows(file)[0]["judgement"] == " ".join(why.split())
    assert typed("rules limits set moisture_pct above 4.1").code == 0
    assert len(rows(file)) == 1
    assert typed("rules check").code == 0


@pytest.mark.parametrize("why", ["\x1b[31mred", "\u202eabc", "\udcff"])
def test_text_that_cannot_be_shown_is_refused(typed: Typing, file: Path, why: str) -> None:
    answer = typed("rules", "limits", "set", "moisture_pct", "above", "4.2", "--why", why)
    assert answer.code == 2
    assert "characters that cannot be shown" in answer.err
    assert not file.exists()


def test_a_limit_that_was_never_set_cannot_be_taken_out(typed: Typing) -> None:
    answer = typed("rules limits remove moisture_pct above")
    assert answer.code == 2
    assert "the shop has no limit of its own for moisture_pct above" in answer.err


def test_a_file_laid_out_otherwise_is_left_alone(typed: Typing, file: Path) -> None:
    row = 'limit = [{ id = "a", reading = "moisture_pct", side = "above", value = 4, softness = 1, judgement = "x" }]\n'
    file.parent.mkdir()
    file.write_text(row, encoding="utf-8")
    for words in ("set moisture_pct above 4.2", "set hardness_b above 80", "remove moisture_pct above"):
        answer = typed(f"rules limits {words}")
        assert answer.code == 2 and "nothing was changed" in answer.err
    assert file.read_text(encoding="utf-8") == row


def test_a_folder_that_cannot_be_written_is_said(typed: Typing, file: Path) -> None:
    file.parent.write_text("in the way", encoding="utf-8")
    answer = typed("rules limits set moisture_pct above 4.2")
    assert answer.code == 2
    assert "cannot be written" in answer.err


def batches(good: int = 40, bad: int = 10) -> Iterator[tuple[float, int]]:
    """(moisture, bad castings) of batches: sound between 3.0 and 4.0, with gas holes at 5."""
    yield from ((3.0 + number / (good - 1), 0) for number in range(good))
    yield from ((5.0, 2) for _ in range(bad))


def fill(path: Path, good: int = 40, bad: int = 10, defect: str | None = "gas-holes") -> None:
    """One mould of four castings a batch; every batch from one heat a day. The shop is invented."""
    with open_book(path) as book, writing(book, "fill") as act:
        act.add(Pattern(pattern="P-1", impressions=4, alloy="A356"))
        act.add(Heat(heat="H-1", melted_at=days_ago(60, 8), alloy="A356"))
        act.add(Heat(heat="H-2", melted_at=days_ago(2, 8), alloy="413"))
        for number, (moisture, castings) in enumerate(batches(good, bad)):
            day = days_ago(60 - number, 10)
            act.add(Sand(sand=f"S-{number}", mixed_at=day - timedelta(hours=2), moisture_pct=moisture))
            act.add(Mould(mould=f"M-{number}", pattern="P-1", sand=f"S-{number}", heat="H-1", poured_at=day))
            if castings:
                act.add(Finding(mould=f"M-{number}", castings=castings, defect=defect, seen="round holes"))
        act.add(Sand(sand="S-trial", mixed_at=days_ago(1, 8), moisture_pct=9.0))
        act.add(Mould(mould="M-trial", pattern="P-1", sand="S-trial", heat="H-2", poured_at=days_ago(1), trial=True))


def test_a_suggestion_is_the_range_of_the_good_units_with_counts(typed: Typing, book_path: Path) -> None:
    """40 readings evenly from 3 to 4: the 2.5 % and 97.5 % quantiles are 3.025 and 3.975, by hand."""
    fill(book_path)
    found = json.loads(typed("rules limits suggest moisture_pct --json").out)
    assert found["moulds"] == 50
    reading = found["readings"][0]
    assert (reading["reading"], reading["unit"], reading["good"], reading["bad"]) == (
        "moisture_pct",
        "sand batch",
        40,
        10,
    )
    assert reading["low"] == pytest.approx(3.025) and reading["high"] == pytest.approx(3.975)
    above = next(side for side in reading["sides"] if side["side"] == "above")
    assert (above["good_outside"], above["bad_outside"], above["limit_now"]) == (1, 10, 4.5)
    assert above["odds_of_luck"] < 1e-6


def test_it_proposes_the_command_and_the_command_works(typed: Typing, book_path: Path, file: Path) -> None:
    fill(book_path)
    answer = typed("rules limits suggest moisture")
    said = flat(answer.out)
    assert "95 % of 40 good sand batches lie from 3.02 % to 3.98 %." in said
    assert "above 3.98 %: 1 of 40 good, 10 of 10 bad; the limit now is 4.5 %" in said
    assert "no limit is proposed on this side" in said  # nothing bad lies below
    assert "not proof that trouble begins outside it" in said
    line = next(line for line in answer.out.splitlines() if "rules limits set" in line)
    command = line[line.index("rules limits set") :]
    assert typed(*shlex.split(command)).code == 0
    assert rows(file)[0]["value"] == 3.98 and "40 good sand batches" in rows(file)[0]["judgement"]


def test_under_thirty_good_ones_it_is_too_few_to_tell(typed: Typing, book_path: Path) -> None:
    fill(book_path, good=29)
    said = flat(typed("rules limits suggest moisture_pct").out)
    assert (
        "Too few to tell: 29 good sand batches with the reading on record; from 30 on it can be said (1 more)." in said
    )
    assert "rules limits set" not in said


def test_without_a_reading_all_are_listed_and_the_few_are_named(typed: Typing, book_path: Path) -> None:
    fill(book_path)
    said = flat(typed("rules limits suggest").out)
    assert "moisture_pct sand batch 40 3.02 % 3.98 % 10 of 10" in said
    assert "Too few to tell, under 30 good ones" in said and "permeability (0)" in said


def test_findings_without_a_defect_are_left_out(typed: Typing, book_path: Path) -> None:
    fill(book_path, defect=None)
    reading = json.loads(typed("rules limits suggest moisture_pct --json").out)["readings"][0]
    assert (reading["good"], reading["bad"], reading["unclear"]) == (40, 0, 10)
    assert "so no limit is proposed" in flat(typed("rules limits suggest moisture_pct").out)


def test_a_defect_that_the_reading_cannot_bring_does_not_count(typed: Typing, book_path: Path) -> None:
    fill(book_path, defect="mismatch")
    reading = json.loads(typed("rules limits suggest moisture_pct --json").out)["readings"][0]
    assert (reading["good"], reading["bad"]) == (50, 0)


def test_it_can_be_narrowed_by_alloy_and_by_time(typed: Typing, book_path: Path) -> None:
    fill(book_path)
    assert json.loads(typed("rules limits suggest moisture_pct --when alloy=A356 --json").out)["moulds"] == 50
    none = typed("rules limits suggest moisture_pct --when alloy=413")
    assert none.code == 2 and "no poured mould is on record that fits" in none.err
    late = json.loads(
        typed("rules", "limits", "suggest", "moisture_pct", "--json", "--since", days_ago(30).date().isoformat()).out
    )
    assert late["moulds"] == 20


def test_an_empty_book_has_nothing_to_suggest(typed: Typing, book_path: Path) -> None:
    assert typed("rules limits suggest").code == 3
    with open_book(book_path) as book:
        assert book.path == book_path
    answer = typed("rules limits suggest")
    assert answer.code == 2 and "no poured mould is on record" in answer.err


def test_a_yes_or_no_reading_has_no_range(typed: Typing, book_path: Path) -> None:
    fill(book_path)
    answer = typed("rules limits suggest vented")
    assert answer.code == 2 and "answered yes or no" in answer.err
