"""What the README shows runs, and what it names is there."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from commanding import succeeds

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


PYTHON = blocks("python")
# comments stand behind the words, two spaces apart
SHELL_LINES = [
    re.split(r"\s+#", line)[0].split() for block in blocks("sh") for line in block.splitlines() if line
]
COMMANDS = [words for words in SHELL_LINES if words[0].endswith("overcoat")]
SCRIPTS = [words for words in SHELL_LINES if words[0] == "python3"]
NATIVE = [words for words in SHELL_LINES if words[0] == "cargo"]


def test_there_is_something_to_run():
    assert PYTHON and COMMANDS and SCRIPTS
    assert {words[1] for words in NATIVE} == {"run", "install"}


@pytest.mark.parametrize("snippet", PYTHON)
def test_a_python_snippet_runs_from_the_root(snippet):
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", snippet],
        cwd=ROOT,
        env={**os.environ, "PYTHONUTF8": "1"},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("\n") >= PYTHON[0].count("print(")


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_a_command_line_names_what_exists(words):
    known = set(re.findall(r"--[a-z-]+", succeeds(words[1], "--help")))
    assert {word for word in words[2:] if word.startswith("--")} <= known


@pytest.mark.parametrize("words", SCRIPTS, ids=" ".join)
def test_a_script_is_there(words):
    assert (ROOT / words[1]).is_file()


@pytest.mark.parametrize("words", NATIVE, ids=" ".join)
def test_what_cargo_is_given_is_there(words):
    feature = words[words.index("--features") + 1]
    assert re.search(rf"^{feature} = \[", (ROOT / "Cargo.toml").read_text("utf-8"), re.MULTILINE)
    for word in words:
        if "/" in word:
            assert list(ROOT.glob(word)), word
    if "--" in words:
        command, *given = words[words.index("--") + 1 :]
        known = set(re.findall(r"--[a-z-]+", succeeds(command, "--help")))
        assert {word for word in given if word.startswith("--")} <= known


def test_links_and_pictures_are_there():
    for target in re.findall(r"\]\(([^)#:]+)\)", README):
        assert (ROOT / target).exists(), target
    for target in re.findall(r"`((?:demo-data|docs|tests|notebooks)/[\w./-]*)`", README):
        if target != "demo-data/answers/":  # made by the first command
            assert (ROOT / target).exists(), target


def test_the_answer_shown_is_that_of_the_command():
    [shown] = blocks("text")
    deck, prices = ROOT / "demo-data/briefs/deck-fitting.json", ROOT / "demo-data/workshop_catalog.json"
    printed = succeeds("rank", deck, "--catalog", prices)
    # the line of what to type next names the files of the caller
    kept = [[line for line in text.splitlines() if not line.startswith("Next")] for text in (shown, printed)]
    assert kept[0] == kept[1]
