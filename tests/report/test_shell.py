"""Commands that are offered can be typed as they stand."""

import shlex

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.report.shell import shell_command, shell_word


@given(st.text(min_size=1, max_size=40).filter(lambda text: "\x00" not in text))
def test_a_shell_reads_back_the_word(text: str) -> None:
    """Against the splitting of Python's shlex, which follows the POSIX shell."""
    assert shlex.split(shell_word(text)) == [text]


@pytest.mark.parametrize(
    ("words", "command"),
    [
        (("why", "P-104"), "defectlog why P-104"),
        (("undo", "12"), "defectlog undo 12"),
        (("identify", "round shiny", "--answer", "a=yes"), 'defectlog identify "round shiny" --answer a=yes'),
        (("shakeout", "M 1; rm"), 'defectlog shakeout "M 1; rm"'),
        (("verdict", "$(x)"), "defectlog verdict '$(x)'"),
    ],
)
def test_commands(words: tuple[str, ...], command: str) -> None:
    assert shell_command(*words) == command
