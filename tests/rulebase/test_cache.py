"""The cache changes how fast rules are read, and nothing else."""

from pathlib import Path

import pytest

from defectlog.errors import RulesBroken
from defectlog.rulebase.cache import fingerprint, remembered_tables
from defectlog.rulebase.load import load_rules
from tests.rulebase.small_base import DEFECT, our_files, write


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    return write(tmp_path / "ours", our_files())


@pytest.fixture
def cache_folder(tmp_path: Path) -> Path:
    return tmp_path / "new" / "cache"


def kept_in(cache_folder: Path) -> list[Path]:
    return sorted(cache_folder.iterdir())


def test_the_answer_is_the_same_without_with_a_new_and_with_an_old_cache(ours: Path, cache_folder: Path) -> None:
    without = load_rules(ours)
    assert load_rules(ours, cache_folder=cache_folder) == without
    assert len(kept_in(cache_folder)) == 1
    assert load_rules(ours, cache_folder=cache_folder) == without


def test_the_second_reading_parses_nothing(cache_folder: Path) -> None:
    parsed: list[str] = []

    def parse(name: str, content: bytes) -> dict[str, str]:
        parsed.append(name)
        return {"said": content.decode()}

    contents = {"a": b"one", "b": b"two"}
    first = remembered_tables(contents, cache_folder, parse)
    assert remembered_tables(contents, cache_folder, parse) == first == {"a": {"said": "one"}, "b": {"said": "two"}}
    assert parsed == ["a", "b"]


def test_a_changed_file_is_read_anew(ours: Path, cache_folder: Path) -> None:
    load_rules(ours, cache_folder=cache_folder)
    write(ours, {"defects/blow.toml": DEFECT.format(id="blow", looks="Another look.")})
    assert load_rules(ours, cache_folder=cache_folder).defects["blow"].looks == "Another look."


@pytest.mark.parametrize(
    "torn",
    [b"", b'{"sources.toml": {', b"\xff\xfe", b"[]", b'{"sources.toml": {}}', b"[" * 200_000],
    ids=["empty", "half written", "not text", "a list", "a file missing", "very deep"],
)
def test_a_torn_cache_is_passed_over_and_written_anew(ours: Path, cache_folder: Path, torn: bytes) -> None:
    without = load_rules(ours, cache_folder=cache_folder)
    (place,) = kept_in(cache_folder)
    whole = place.read_bytes()
    place.write_bytes(torn)
    assert load_rules(ours, cache_folder=cache_folder) == without
    assert place.read_bytes() == whole


def test_a_cache_whose_tables_are_no_tables_is_passed_over(cache_folder: Path) -> None:
    contents = {"a": b"one"}
    write(cache_folder, {f"rules-{fingerprint(contents)}.json": '{"a": 3}'})
    assert remembered_tables(contents, cache_folder, lambda _, content: {"said": content.decode()}) == {
        "a": {"said": "one"}
    }


def test_it_may_be_deleted_at_any_time(ours: Path, cache_folder: Path) -> None:
    without = load_rules(ours, cache_folder=cache_folder)
    for path in kept_in(cache_folder):
        path.unlink()
    cache_folder.rmdir()
    assert load_rules(ours, cache_folder=cache_folder) == without


def test_where_nothing_can_be_written_the_rules_are_read_all_the_same(ours: Path, tmp_path: Path) -> None:
    in_the_way = tmp_path / "a-file"
    in_the_way.write_text("not a folder")
    assert load_rules(ours, cache_folder=in_the_way / "cache") == load_rules(ours)


def test_broken_files_are_not_kept_and_complain_every_time(ours: Path, cache_folder: Path) -> None:
    write(ours, {"defects/blow.toml": "this is not TOML"})
    for _ in range(2):
        with pytest.raises(RulesBroken, match=r"defects/blow\.toml"):
            load_rules(ours, cache_folder=cache_folder)
    assert not cache_folder.exists()


def test_what_json_cannot_hold_is_refused_the_same_with_a_cache(ours: Path, cache_folder: Path) -> None:
    write(ours, {"defects/blow.toml": "id = 2026-03-09\nname = 07:30:00"})
    said = []
    for folder in (None, cache_folder, cache_folder):
        with pytest.raises(RulesBroken) as broken:
            load_rules(ours, cache_folder=folder)
        said.append(str(broken.value))
    assert said[0] == said[1] == said[2]


def test_no_draft_is_left_and_old_ones_are_swept_out(cache_folder: Path) -> None:
    for number in range(12):
        remembered_tables({"a": str(number).encode()}, cache_folder, lambda _, content: {"said": content.decode()})
    assert len(kept_in(cache_folder)) == 8
    assert all(path.name.startswith("rules-") and path.suffix == ".json" for path in kept_in(cache_folder))


def test_names_and_contents_cannot_be_taken_for_one_another() -> None:
    prints = {fingerprint(contents) for contents in ({"a": b"bc"}, {"ab": b"c"}, {"a": b"b", "c": b""}, {"a": b"b"})}
    assert len(prints) == 4
