"""Questions on the terminal."""

import io
import threading
import time

import click
import pytest

from passport.cli.shared import dialogue
from passport.cli.shared.dialogue import ask, at_terminal, choose, confirmed, patience


@pytest.fixture
def typed(monkeypatch):
    """Lets a test type some lines at a terminal."""

    def type_lines(*lines):
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        monkeypatch.setattr(dialogue, "at_terminal", lambda: True)

    return type_lines


def whole(text):
    """Reads a whole number."""
    if not text.isdigit():
        raise ValueError("Type digits.")


@pytest.mark.parametrize(("line", "answer"), [("", "51 lb"), ("52  lb ", "52 lb"), ("-", ""), ("\tx", "x")])
def test_enter_takes_what_is_offered(typed, capsys, line, answer):
    """Enter takes the offered value, a dash leaves it out, anything else is taken as typed."""
    typed(line)
    assert ask("Tension", "51 lb") == answer
    assert capsys.readouterr().out == "Tension [51 lb]: "


def test_it_asks_until_the_answer_can_be_read(typed, capsys):
    """An answer that will not do is refused in words, and asked again; one that is needed cannot be skipped."""
    typed("", "many", "4")
    assert ask("Knots", read=whole, needed=True) == "4"
    assert capsys.readouterr().out == "Knots: " + "  This one is needed.\nKnots: " + "  Type digits.\nKnots: "


def test_nothing_more_to_read_ends_the_command(typed):
    """A terminal that is closed ends the dialogue without writing anything."""
    typed()
    with pytest.raises(click.Abort):
        ask("Mass")


MODELS = [("larch-98", "Tarn Larch 98"), ("larch-100", "Tarn Larch 100"), ("wren", "Tarn Wren")]


@pytest.mark.parametrize(
    ("lines", "chosen"),
    [
        (["2"], "larch-100"),
        (["wren"], "wren"),
        (["WRE"], "wren"),
        (["larch", "77", "zz", "100"], "larch-100"),
        (["larch-98"], "larch-98"),
    ],
)
def test_one_is_chosen_by_number_or_name(typed, capsys, lines, chosen):
    """A number of the list, a name or enough of it; what fits several or none is asked again."""
    typed(*lines)
    assert choose("Model", MODELS) == chosen
    assert "  1  larch-98" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("line", "default", "agreed"),
    [
        ("", True, True),
        ("", False, False),
        ("y", False, True),
        ("Yes", False, True),
        ("n", True, False),
        ("?", True, False),
    ],
)
def test_agreement(typed, line, default, agreed):
    """Enter takes the default; only a yes agrees."""
    typed(line)
    assert confirmed("Write?", yes=False, default=default) is agreed


def test_agreement_without_a_person(monkeypatch):
    """Where nobody can be asked the answer is no, unless it was given beforehand."""
    monkeypatch.setattr("sys.stdin", io.StringIO("y\n"))
    assert at_terminal() is False
    assert confirmed("Write?", yes=False) is False
    assert confirmed("Write?", yes=True) is True


def test_patience_is_quiet_where_nobody_looks(capsys):
    """Without a terminal nothing is said, however long it takes."""
    with patience("Reading …", after=0.0):
        time.sleep(0.05)
    assert capsys.readouterr() == ("", "")


TERMINALS = ("xterm-256color", "linux", "dumb", "unknown", None)


@pytest.fixture(params=TERMINALS)
def screen(request, monkeypatch):
    """What a person sees on a terminal of some kind; None: one that does not say what it is."""
    from rich.console import Console

    if request.param is None:
        monkeypatch.delenv("TERM", raising=False)
    else:
        monkeypatch.setenv("TERM", request.param)
    out = io.StringIO()
    monkeypatch.setattr(dialogue, "Console", lambda **_: Console(file=out, force_terminal=True))
    return out


def test_patience_speaks_while_it_takes_long(screen):
    """On every kind of terminal a word is said while the work goes on, not only at its end."""
    until = time.monotonic() + 60  # a busy machine may take its time to start a thread
    with patience("Reading the records …", after=0.01):
        while "Reading the records" not in screen.getvalue() and time.monotonic() < until:
            time.sleep(0.01)
        assert "Reading the records" in screen.getvalue()


def test_patience_is_quiet_where_it_is_quick(screen):
    """What is done before the time is up is done without a word, then and later."""
    before = set(threading.enumerate())
    with patience("Reading the records …", after=3600.0):
        pass
    assert screen.getvalue() == ""
    assert not set(threading.enumerate()) - before  # one of an earlier test may just be ending
