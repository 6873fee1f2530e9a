"""Folders of rule files become one rule base, with the shop's own laid over ours and ours never touched."""

import os
from pathlib import Path

import pytest

from defectlog.errors import RulesBroken
from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.load import load_rules, our_folder
from tests.rulebase.small_base import CAUSE, DEFECT, LIMITS, SOURCES, our_files, write


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    return write(tmp_path / "ours", our_files())


def complaints(folder: Path, shop: Path | None = None) -> list[str]:
    with pytest.raises(RulesBroken) as broken:
        load_rules(folder, shop)
    assert broken.value.exit_code == 2
    return [str(problem) for problem in broken.value.problems]


def test_every_file_is_found_by_its_id(ours: Path) -> None:
    rules = load_rules(ours)
    assert (list(rules.defects), list(rules.causes), list(rules.sources)) == (["blow"], ["wet-sand"], ["handbook"])
    assert [limit.id for limit in rules.limits] == ["too-wet"]
    assert rules.shop_folder == ""


def test_how_people_tell_of_a_defect_is_read_and_a_shop_may_tell_it_its_own_way(ours: Path, tmp_path: Path) -> None:
    write(ours, {"told/blow.toml": 'id = "blow"\ntold = ["round holes"]\n'})
    assert load_rules(ours).told["blow"].told == ("round holes",)
    shop = write(tmp_path / "shop", {"told/blow.toml": 'id = "blow"\ntold = ["bubbles", "froth"]\n'})
    assert load_rules(ours, shop).told["blow"].told == ("bubbles", "froth")


def test_a_shop_s_file_of_our_id_stands_in_place_of_ours_and_ours_stays_as_it_was(ours: Path, tmp_path: Path) -> None:
    before = {path: path.read_bytes() for path in ours.rglob("*.toml")}
    shop = write(tmp_path / "shop", {"defects/blow.toml": DEFECT.format(id="blow", looks="As we see it.")})
    rules = load_rules(ours, shop)
    assert rules.defects["blow"].looks == "As we see it."
    assert rules.shop_folder == str(shop)
    assert {path: path.read_bytes() for path in ours.rglob("*.toml")} == before
    assert load_rules(ours).defects["blow"].looks == "A round hole."


def test_a_shop_s_new_ids_are_added(ours: Path, tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {
        "defects/dent.toml": DEFECT.format(id="dent", looks="A dent."),
        "causes/mould/no-vent.toml": CAUSE.format(id="no-vent", area="mould"),
        "sources.toml": SOURCES.replace("handbook", "our-notes"),
    }
    rules = load_rules(ours, write(tmp_path / "shop", files))
    assert set(rules.defects) == {"blow", "dent"}
    assert set(rules.causes) == {"wet-sand", "no-vent"}
    assert set(rules.sources) == {"handbook", "our-notes"}


def test_a_shop_may_move_a_cause_of_ours_to_another_area(ours: Path, tmp_path: Path) -> None:
    shop = write(tmp_path / "shop", {"causes/mould/wet-sand.toml": CAUSE.format(id="wet-sand", area="mould")})
    assert load_rules(ours, shop).causes["wet-sand"].area == "mould"


def test_a_shop_s_limit_comes_before_ours_whether_it_has_our_id_or_its_own(ours: Path, tmp_path: Path) -> None:
    for number, id in enumerate(("too-wet", "measured-here")):
        shop = write(tmp_path / f"shop{number}", {"limits.toml": LIMITS.format(id=id, value=3.9)})
        rules = load_rules(ours, shop)
        limit = limit_for(rules.limits, "moisture_pct", "above", {})
        assert limit is not None
        assert (limit.value, limit.own) == (3.9, True)


def test_a_row_cannot_make_itself_the_shop_s_own(ours: Path) -> None:
    write(ours, {"limits.toml": LIMITS.format(id="too-wet", value=4.5) + "own = true\n"})
    assert not load_rules(ours).limits[0].own


def test_a_shop_without_a_folder_or_with_an_empty_one_has_ours(ours: Path, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for shop in (tmp_path / "none", tmp_path / "empty"):
        rules = load_rules(ours, shop)
        assert list(rules.defects) == ["blow"]
        assert rules.shop_folder == ""


def test_problems_of_every_file_of_both_folders_are_told_at_once(ours: Path, tmp_path: Path) -> None:
    write(
        ours,
        {
            "defects/blow.toml": "id = 1",
            "signs.toml": "this is not TOML",
            "causes/sand/wet-sand.toml": CAUSE.format(id="dry-sand", area="mould"),
            "places.toml": b"\xff\xfe not text",
        },
    )
    said = "\n".join(complaints(ours, write(tmp_path / "shop", {"limits.toml": "[[limit]]\nid = 'x'\nsofness = 1"})))
    for piece in (
        "defects/blow.toml, id: 1 does not fit here",
        "defects/blow.toml: 'name' is missing",
        "signs.toml: Expected '=' after a key in a key/value pair (at line 1, column 6)",
        "causes/sand/wet-sand.toml: id 'dry-sand'",
        "causes/sand/wet-sand.toml: area 'mould'",
        "places.toml: not UTF-8 text",
        "the shop's own limits.toml, limit 1 x: unknown key 'sofness'",
        "did you mean 'softness'?",
    ):
        assert piece in said


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("limits.toml", "limit = ['x', 3]", "limits.toml, limit 1: 'x' does not fit here"),
        ("limits.toml", "limit = 3", "allowed: [[limit]] tables only"),
        ("limits.toml", "[[limits]]\nid = 'x'", "keys ['limits']"),
        ("signs.toml", "[[sign]]\nid = 3", "signs.toml, sign 1, id: 3 does not fit here"),
        ("limit.toml", "", "limit.toml: no list of that name"),
        ("causes/no-vent.toml", "", "causes/no-vent.toml: a cause outside its area's folder"),
    ],
)
def test_a_list_file_of_the_wrong_form_is_refused_by_name(
    ours: Path, tmp_path: Path, name: str, content: str, said: str
) -> None:
    shop = write(tmp_path / "shop", {name: content})
    assert any(f"the shop's own {name}" in problem and said in problem for problem in complaints(ours, shop))
    assert any(said in problem for problem in complaints(write(ours, {name: content})))


def test_an_id_stands_once_in_a_folder(ours: Path) -> None:
    write(ours, {"sources.toml": SOURCES * 2, "causes/mould/wet-sand.toml": CAUSE.format(id="wet-sand", area="mould")})
    first, second = complaints(ours)
    assert first.startswith(
        "sources.toml, source 2 handbook: id 'handbook' stands twice, first in sources.toml, source 1"
    )
    assert second.startswith(
        "causes/sand/wet-sand.toml: id 'wet-sand' stands twice, first in causes/mould/wet-sand.toml"
    )


def test_a_huge_file_is_refused_unread(ours: Path) -> None:
    write(ours, {"defects/blow.toml": b"#" * 1_000_001})
    assert complaints(ours) == ["defects/blow.toml: over 1 MB\n  allowed: rule files of up to 1 MB"]


@pytest.mark.parametrize(
    "content",
    ["a = " + "[" * 100_000, "a = " + "{ b = " * 100_000, "a = " + "9" * 5000, "a = 0x" + "f" * 5000 + "\nid = 1"],
    ids=["deep lists", "deep tables", "long number", "long number in hexadecimal"],
)
def test_a_file_that_is_hard_to_parse_is_refused_and_not_stumbled_over(
    ours: Path, tmp_path: Path, content: str
) -> None:
    write(ours, {"defects/blow.toml": content})
    assert all(said.startswith("defects/blow.toml") and len(said) < 500 for said in complaints(ours))
    with pytest.raises(RulesBroken):
        load_rules(ours, cache_folder=tmp_path / "cache")


def test_a_chain_of_a_thousand_dotted_keys_is_refused_with_and_without_a_cache(ours: Path, tmp_path: Path) -> None:
    write(ours, {"defects/blow.toml": ".".join("a" * 2000) + " = 1"})
    for cache_folder in (None, tmp_path / "cache"):
        with pytest.raises(RulesBroken) as broken:
            load_rules(ours, cache_folder=cache_folder)
        assert "unknown key 'a'" in str(broken.value)


def test_numbers_that_are_none_are_refused(ours: Path) -> None:
    for value in ("nan", "inf", "-inf", "1e400"):
        write(ours, {"limits.toml": LIMITS.format(id="too-wet", value=value)})
        (said,) = complaints(ours)
        assert said.startswith("limits.toml, limit 1 too-wet, value: ")


def test_a_folder_in_the_place_of_a_file_is_refused(ours: Path) -> None:
    (ours / "defects/dent.toml").mkdir()
    (said,) = complaints(ours)
    assert said.startswith("defects/dent.toml: cannot be read")


def test_the_mark_that_windows_editors_put_first_is_passed_over(ours: Path) -> None:
    text = DEFECT.format(id="blow", looks="Straight from the notebook.").replace("\n", "\r\n")
    write(ours, {"defects/blow.toml": b"\xef\xbb\xbf" + text.encode()})
    assert load_rules(ours).defects["blow"].looks == "Straight from the notebook."


def test_no_rule_folder_is_said_and_not_a_traceback(tmp_path: Path) -> None:
    (said,) = complaints(tmp_path / "nowhere")
    assert "there is no rule folder at" in said


def test_the_rules_can_be_named_in_the_environment(ours: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DEFECTLOG_RULES", os.fspath(ours))
    assert our_folder() == ours
    assert list(load_rules().causes) == ["wet-sand"]
