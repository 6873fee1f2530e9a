"""The rule base as it is asked for: lists, pages, whether it is sound, and a new cause of the shop's own."""

import json
import re
from pathlib import Path

import pytest

from defectlog.rulebase.load import load_rules, our_folder
from tests.cli.conftest import Typing
from tests.rulebase.small_base import CAUSE, our_files, write

RULES = load_rules()
LISTS = ("defects", "causes", "signs", "places", "limits", "cautions", "sources", "alloys")


@pytest.fixture(autouse=True)
def own_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    """The shop's folder is the one beside the book."""
    monkeypatch.delenv("DEFECTLOG_SHOP_RULES", raising=False)


@pytest.fixture
def shop(book_path: Path) -> Path:
    return book_path.with_suffix(".rules")


def flat(text: str) -> str:
    return " ".join(text.split())


def example(typed: Typing, page: str) -> str:
    found = re.search(r"Example: defectlog (.*?)(?:\n\s*\n|$)", typed(f"{page} -h").out, re.DOTALL)
    assert found, page
    return flat(found[1])


@pytest.mark.parametrize("page", ["rules list", "rules show", "rules check", "rules new cause"])
def test_the_example_of_each_help_page_works(typed: Typing, page: str) -> None:
    line = example(typed, page)
    assert line.startswith(page)
    answer = typed(line)
    assert answer.code == 0, answer.err


def test_list_alone_gives_every_defect_and_every_cause(typed: Typing) -> None:
    answer = typed("rules list")
    assert answer.code == 0 and answer.err == ""
    words = set(answer.out.split())
    assert words >= RULES.defects.keys() | RULES.causes.keys()
    assert "signs, places, limits, cautions, sources, alloys" in flat(answer.out)


@pytest.mark.parametrize("name", LISTS)
def test_each_list_holds_what_the_rule_base_holds(typed: Typing, name: str) -> None:
    listed = json.loads(typed(f"rules list {name} --json").out)
    assert len(listed) == len(getattr(RULES, name))
    page = typed(f"rules list {name}").out
    if name != "limits":
        assert all(row["id"] in page for row in listed)


def test_a_list_in_the_singular_is_taken_and_a_wrong_one_gets_the_nearest(typed: Typing) -> None:
    assert typed("rules list cause").out == typed("rules list causes").out
    answer = typed("rules list cuases")
    assert answer.code == 2
    assert "allowed: defects, causes, signs" in answer.err
    assert "type: defectlog rules list causes" in answer.err


def test_cautions_and_sources_are_listed_in_full(typed: Typing) -> None:
    cautions = flat(typed("rules list cautions").out)
    assert all(flat(caution.text) in cautions for caution in RULES.cautions.values())
    sources = flat(typed("rules list sources").out)
    assert all(flat(source.title) in sources for source in RULES.sources.values())


def test_a_cause_is_shown_with_its_cautions_before_its_remedies(typed: Typing) -> None:
    answer = typed("rules show sand-too-wet")
    assert answer.code == 0 and answer.err == ""
    assert answer.out.startswith("Sand too wet (sand-too-wet)\n")
    said = flat(answer.out)
    assert RULES.causes["sand-too-wet"].mechanism in said
    assert said.index("CAUTION: damp-mould-steam:") < said.index("What to do, the cheapest first")
    assert "4.5 %" in said and "heine-loper" in said
    assert max(len(line) for line in answer.out.splitlines() if "http" not in line) <= 80


@pytest.mark.parametrize(("id", "kind"), [("gas-holes", "defect"), ("sand-too-wet", "cause")])
def test_a_rule_in_json_has_every_field_and_its_kind(typed: Typing, id: str, kind: str) -> None:
    fields = json.loads(typed(f"rules show {id} --json").out)
    assert (fields["id"], fields["kind"], fields["answered_by"]) == (id, kind, None)
    assert fields["source_list"] and fields["caution_texts"]


def test_a_name_is_as_good_as_an_id(typed: Typing) -> None:
    by_id = typed("rules show sand-too-wet")
    assert typed("rules", "show", "Sand too wet") == by_id
    assert typed("rules show sand too wet") == by_id


def test_a_misspelt_rule_is_taken_where_it_is_clear_and_said(typed: Typing) -> None:
    answer = typed("rules show sand-to-wett")
    assert answer.code == 0
    assert answer.err == "taking sand-too-wet for 'sand-to-wett'\n"


def test_where_several_are_meant_nothing_is_shown(typed: Typing) -> None:
    unclear = typed("rules show clay")
    assert unclear.code == 2 and unclear.out == ""
    assert "clay-high" in unclear.err and "clay-low" in unclear.err


def test_a_rule_that_nobody_knows_gets_the_nearest_and_what_to_type(typed: Typing) -> None:
    answer = typed("rules show qqqqqqqqqqqq")
    assert answer.code == 2
    assert "is no defect and no cause that the rules know" in answer.err
    assert "defectlog rules list" in answer.err


def test_the_id_of_another_list_says_which(typed: Typing) -> None:
    answer = typed("rules show cope-face")
    assert answer.code == 2
    assert "'cope-face' is one of the places" in answer.err
    assert "defectlog rules list places" in answer.err


@pytest.mark.parametrize("hostile", ["\x1b[31mred\x07", "[bold]x[/bold]", "=1+1", "\u202eabc", "x" * 5000, ""])
def test_hostile_text_is_shown_and_never_obeyed(typed: Typing, hostile: str) -> None:
    for answer in (typed("rules", "show", hostile), typed("rules", "list", hostile or "?")):
        assert answer.code == 2
        assert "\x1b" not in answer.err and "\x07" not in answer.err and "\u202e" not in answer.err
        assert "Traceback" not in answer.err


RETIRED = CAUSE.format(id="old-wet", area="sand").replace('"in force"', '"retired"\nreplaced_by = "older-wet"')
RETIRED_TWICE = CAUSE.format(id="older-wet", area="sand").replace('"in force"', '"retired"\nreplaced_by = "wet-sand"')


def test_a_retired_rule_answers_with_what_replaced_it(
    typed: Typing, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    retired = {"causes/sand/old-wet.toml": RETIRED, "causes/sand/older-wet.toml": RETIRED_TWICE}
    monkeypatch.setenv("DEFECTLOG_RULES", str(write(tmp_path / "small", our_files() | retired)))
    answer = typed("rules show old-wet")
    assert answer.code == 0
    assert "It is no longer put forward" in flat(answer.out)
    assert answer.out.endswith("what replaced it: defectlog rules show wet-sand\n")
    assert json.loads(typed("rules show old-wet --json").out)["answered_by"] == "wet-sand"


def test_our_rules_are_sound_and_say_so_on_one_line(typed: Typing) -> None:
    answer = typed("rules check")
    assert answer.code == 0
    assert answer.out == ""
    counts = f"{len(RULES.defects)} defects, {len(RULES.causes)} causes, {len(RULES.limits)} limits"
    assert answer.err == f"sound: {counts}; the shop has no rules of its own\n"
    assert json.loads(typed("rules check --json").out) | {"ours": ""} == {
        "sound": True, "ours": "", "shop": None, "shop_files": 0, "problems": [],
    }  # fmt: skip


def test_problems_of_the_shops_folder_are_told_all_at_once(typed: Typing, shop: Path) -> None:
    write(shop, {"limits.toml": "[[limit]]\nid = 5\n", "defects/x.toml": "not toml [", "limit.toml": ""})
    answer = typed("rules check")
    assert answer.code == 1
    for said in ("limits.toml", "defects/x.toml", "limit.toml"):
        assert f"the shop's own {said}" in answer.out
    assert "allowed: " in answer.out
    assert f"read: ours in {our_folder()}" in answer.err and str(shop) in answer.err
    told = json.loads(typed("rules check --json").out)
    assert told["sound"] is False and len(told["problems"]) >= 3
    assert set(told["problems"][0]) == {"code", "where", "found", "allowed", "next_step"}


def test_what_only_the_lint_sees_is_told_too(typed: Typing, shop: Path) -> None:
    row = '[[limit]]\nid = "mine"\nreading = "moisture"\nside = "above"\nvalue = 4\nsoftness = 0.4\n'
    write(shop, {"limits.toml": row})
    answer = typed("rules check")
    assert answer.code == 1
    assert "there is no reading 'moisture'" in answer.out
    assert "4 stands alone" in answer.out


def test_another_folder_can_be_checked(typed: Typing, tmp_path: Path) -> None:
    folder = write(tmp_path / "other", {"limits.toml": ""})
    answer = typed("rules", "check", str(folder))
    assert answer.code == 0
    assert f"1 file of the shop's own in {folder}" in answer.err


def test_a_folder_that_is_not_there_is_bad_input(typed: Typing, tmp_path: Path) -> None:
    answer = typed("rules", "check", str(tmp_path / "no\x1bwhere"))
    assert answer.code == 2
    assert "there is no such folder" in answer.err and "\x1b" not in answer.err


def test_a_broken_shop_folder_stops_the_other_verbs_with_its_problems(typed: Typing, shop: Path) -> None:
    write(shop, {"limits.toml": "[[limit]]\nid = 5\n"})
    answer = typed("rules show sand-too-wet")
    assert answer.code == 2 and answer.out == ""
    assert "the shop's own limits.toml" in answer.err


NEW = "rules new cause damp-shed-floor --area handling --acts-at mould --explains gas-holes"


def test_a_new_cause_is_written_where_it_says_and_can_be_read(typed: Typing, shop: Path) -> None:
    answer = typed(NEW)
    path = shop / "causes" / "handling" / "damp-shed-floor.toml"
    assert answer.code == 0
    assert path.is_file()
    assert f"written: {path}" in flat(answer.out)
    assert "WRITE HERE" in answer.out
    assert "defectlog rules check" in answer.out
    shown = typed("rules show damp-shed-floor")
    assert shown.code == 0 and "Damp shed floor" in shown.out
    told = json.loads(typed("rules check --json").out)
    assert {problem["code"] for problem in told["problems"]} == {"rule-blank"}


def test_it_is_never_written_over(typed: Typing, shop: Path) -> None:
    typed(NEW)
    path = shop / "causes" / "handling" / "damp-shed-floor.toml"
    mine = path.read_text(encoding="utf-8").replace("WRITE HERE", "Written")
    path.write_text(mine, encoding="utf-8")
    answer = typed(NEW)
    assert answer.code == 2
    assert "there is a rule 'damp-shed-floor' already" in answer.err
    assert path.read_text(encoding="utf-8") == mine


def test_a_rule_of_ours_is_not_hidden_by_a_file_of_blanks(typed: Typing, shop: Path) -> None:
    answer = typed("rules new cause sand-too-wet --area sand --acts-at sand --explains gas-holes")
    assert answer.code == 2
    assert "defectlog rules show sand-too-wet" in answer.err
    assert not shop.exists()


def test_everything_that_is_wrong_is_said_at_once(typed: Typing, shop: Path) -> None:
    answer = typed("rules", "new", "cause", "Damp Shed", "--area", "shed", "--explains", "qqqqqqqq")
    assert answer.code == 2
    assert "--acts-at is needed" in answer.err
    assert "type: defectlog rules new cause damp-shed" in answer.err
    assert "allowed: sand, mould, pattern" in answer.err
    assert "'qqqqqqqq' is no defect" in answer.err
    assert not shop.exists()


def test_a_misspelt_defect_is_taken_and_said(typed: Typing) -> None:
    answer = typed(NEW.replace("gas-holes", "gasholes"))
    assert answer.code == 0
    assert "taking gas holes for 'gasholes'" in answer.err


@pytest.mark.parametrize("id", ["../../x", "a/b", "x\x00y", "\x1b[31m", "-x", "ä"])
def test_an_id_cannot_leave_the_folder(typed: Typing, shop: Path, tmp_path: Path, id: str) -> None:
    before = sorted(tmp_path.rglob("*"))
    answer = typed("rules", "new", "cause", "--area", "sand", "--acts-at", "sand", "--explains", "scab", "--", id)
    assert answer.code == 2
    assert "\x1b" not in answer.err
    assert sorted(tmp_path.rglob("*")) == before and not shop.exists()


def test_a_folder_that_cannot_be_written_is_said(typed: Typing, shop: Path) -> None:
    shop.mkdir()
    (shop / "causes").write_text("in the way", encoding="utf-8")
    answer = typed(NEW)
    assert answer.code == 2
    assert "cannot be written" in answer.err and "nothing was changed" in answer.err
