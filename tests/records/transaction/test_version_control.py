"""One commit a change, where the shop wishes it, and never a change that fails because of git."""

import subprocess

import pytest
import smallshop
from commandline import passport

MAIN = "players/ada/main.yaml"


def git(folder, *arguments):
    """What git says in a folder."""
    done = subprocess.run(["git", *arguments], cwd=folder, capture_output=True, text=True, check=True)
    return done.stdout


@pytest.fixture
def content(tmp_path, monkeypatch):
    """The small workshop under git, with one commit a change wished; no settings of this computer's user count."""
    for name, value in {
        "GIT_CONFIG_GLOBAL": "/dev/null", "GIT_CONFIG_NOSYSTEM": "1", "GIT_AUTHOR_NAME": "A", "GIT_AUTHOR_EMAIL": "a@b.example",
        "GIT_COMMITTER_NAME": "A", "GIT_COMMITTER_EMAIL": "a@b.example",
    }.items():  # fmt: skip
        monkeypatch.setenv(name, value)
    text = smallshop.FILES["workshop.yaml"] + "commit_changes: yes\n"
    content = smallshop.write(tmp_path / "content", {"workshop.yaml": text})
    git(content, "init", "--quiet")
    git(content, "add", "--all")
    git(content, "commit", "--quiet", "--message", "As it was")
    return content


def commits(content):
    """Each commit with the files that it changed, newest first."""
    said = git(content, "log", "--format=%x00%s", "--name-only").split("\0")[1:]
    return [(text.splitlines()[0], sorted(text.split("\n")[2:-1])) for text in said]


def test_each_change_is_one_commit_of_its_files_alone(content):
    """What is edited or staged elsewhere is no part of it; taking back is a commit too."""
    (content / "players/ada/twin.yaml").write_text(smallshop.FILES["players/ada/twin.yaml"] + "# mine\n")
    (content / "notes.txt").write_text("staged")
    git(content, "add", "notes.txt")
    assert passport("issue", content, "ada/heir", "--replaces", "ada/main", "--yes").stderr.count("git") == 0
    assert passport("undo", content, "--yes").exit_code == 0
    found = commits(content)
    files = ["ledger.txt", "players/ada/heir.yaml", MAIN]
    assert [names for _, names in found[:2]] == [files, files]
    assert [title for title, _ in found] == ["passport undo, change 2", "passport issue, change 1", "As it was"]
    status = git(content, "status", "--porcelain")
    assert " M players/ada/twin.yaml" in status
    assert "A  notes.txt" in status


def test_an_erasing_names_nobody(content):
    """The commit takes the player's files out of the newest state, and no message tells who it was."""
    assert passport("erase", content, "bo", "--yes").exit_code == 0
    title, names = commits(content)[0]
    assert title == "passport erase, change 1"
    assert names == ["ledger.txt", "players/bo/only.yaml", "players/bo/player.yaml"]


def test_without_the_wish_nothing_is_committed(content):
    """The setting is off unless the shop turns it on."""
    (content / "workshop.yaml").write_text(smallshop.FILES["workshop.yaml"])
    assert passport("lost", content, "ada/main", "--yes").exit_code == 0
    assert len(commits(content)) == 1


@pytest.mark.parametrize("trouble", ["hook", "no git", "no repository", "locked", "ignored"])
def test_whatever_git_refuses_the_change_stands(content, monkeypatch, trouble):
    """A word says that there is no commit, and why; the act is done."""
    if trouble == "hook":
        hook = content / ".git/hooks/pre-commit"
        hook.parent.mkdir(exist_ok=True)
        hook.write_text("#!/bin/sh\necho not today >&2\nexit 1\n")
        hook.chmod(0o755)
    elif trouble == "no git":
        monkeypatch.setenv("PATH", "/nowhere")
    elif trouble == "no repository":
        (content / ".git").rename(content / "elsewhere")
        monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(content.parent))
    elif trouble == "ignored":
        git(content, "rm", "--quiet", "--cached", MAIN)
        (content / ".gitignore").write_text("players/\n")
    else:
        (content / ".git/index.lock").touch()
    result = passport("lost", content, "ada/main", "--yes")
    assert result.exit_code == 0
    assert "git has no commit of it: " in result.stderr
    assert "status: lost" in (content / MAIN).read_text(encoding="utf-8")
