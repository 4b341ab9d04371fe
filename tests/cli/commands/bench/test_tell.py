"""``passport tell``: who was told what, and who is left alone."""

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, passport, tree

from passport.acts.telling import post
from passport.cli.commands.bench import tell
from passport.cli.main import main
from passport.records.load import load

NUMBER = smallshop.NUMBERS["main"]


@pytest.fixture
def content(tmp_path):
    """The small workshop with a mail server; Bo plays often."""
    shop = smallshop.FILES["workshop.yaml"] + "mail: {server: localhost, security: none}\n"
    bo = smallshop.FILES["players/bo/player.yaml"] + "plays_a_week: 5\ncontact: {phone: 01632 960188}\nlanguage: de\n"
    return smallshop.write(tmp_path / "content", {"workshop.yaml": shop, "players/bo/player.yaml": bo})


@pytest.fixture
def opened(monkeypatch):
    """The addresses that were opened in another program."""
    links = []
    monkeypatch.setattr(tell.click, "launch", lambda link: links.append(link) or 0)
    return links


def told(content, player):
    """What a player was told."""
    return load(content)[0].players[player].record.told


def test_a_message_is_shown_and_nothing_kept(content):
    """--show shows it alone."""
    before = tree(content)
    shown = passport("tell", content, NUMBER, "--what", "done", "--show")
    assert shown.exit_code == 0, shown.output
    assert "Your racquet Main (Tarn Larch 98) is done." in shown.output
    assert tree(content) == before


def test_it_opens_in_the_mail_program_and_is_kept(content, opened):
    """What was told, when and how stands in the player's record, private; a second time takes --sure."""
    done = passport("tell", content, NUMBER, "--what", "done", "--mail", "--yes")
    assert done.exit_code == 0, done.output
    assert opened[0].startswith("mailto:secret-mail@ada.example?subject=Bench%20Nine")
    notice = told(content, "ada")[0]
    assert (notice.date, notice.what, notice.frame, notice.by) == (smallshop.TODAY, "done", NUMBER, "mail")
    again = passport("tell", content, NUMBER, "--what", "done", "--mail", "--yes")
    assert again.exit_code == 1
    assert "was told that on 2026-11-25 already" in again.output
    assert passport("tell", content, NUMBER, "--what", "done", "--mail", "--yes", "--sure").exit_code == 0
    assert len(told(content, "ada")) == 2
    assert passport("undo", content, "--yes").exit_code == 0
    assert len(told(content, "ada")) == 1


def test_who_wants_no_messages_is_never_asked_again(content, opened):
    """'messages: no' ends it, for one and in the list of all."""
    assert passport("player", content, "bo", "--messages", "no", "--yes").exit_code == 0
    refused = passport("tell", content, "bo/only", "--text", "--yes")
    assert refused.exit_code == 1
    assert "wants no messages" in refused.output
    everybody = passport("tell", content, "--due", "--within", "3000", "--text", "--yes")
    assert "1 want no messages" in everybody.output
    assert told(content, "bo") == ()
    assert not any("01632960188" in link for link in opened)


def test_a_reading_after_the_work_hides_nothing(content, opened):
    """A frame that is done and then only read again still waits to be collected; who was told is not told again."""
    path = content / "players/ada/main.yaml"
    ordered = "  - date: 2026-11-23\n    note: new grip\n    order: {asked: a new grip}\n"
    read = "  - date: 2026-11-24\n    readings: {mass: 330.1 g}\n"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("private_note: SECRET-F", f"{ordered}{read}private_note: SECRET-F"), encoding="utf-8")
    done = passport("tell", content, "--done", "--mail", "--yes")
    assert done.exit_code == 0, done.output
    assert [(notice.what, notice.frame) for notice in told(content, "ada")] == [("done", NUMBER)]
    path.write_text(path.read_text(encoding="utf-8").replace("2026-11-24", "2026-11-25"), encoding="utf-8")
    assert passport("tell", content, "--done", "--mail", "--yes").exit_code == 0
    assert len(opened) == 1 == len(told(content, "ada"))


def test_everybody_who_is_due_gets_one_message(content, opened):
    """A player with several frames gets one message in the player's language; who was told is left out the next time."""
    done = passport("tell", content, "--due", "--text", "--yes")
    assert done.exit_code == 0, done.output
    assert len(opened) == len({link.partition("?")[0] for link in opened}) == 2
    assert any(link.startswith("sms:01632960188?body=Die%20Saiten") for link in opened)
    assert {notice.frame for notice in told(content, "ada")} == {smallshop.NUMBERS["main"], smallshop.NUMBERS["twin"]}
    again = passport("tell", content, "--due", "--text", "--yes")
    assert "2 players told already" in again.output
    assert len(opened) == 2


def test_nothing_is_called_done_that_is_not_recorded(content):
    """Without work on record, with work still to do, or long after it, there is nothing to tell."""
    for name, said in (
        ("ada/fresh", "no work on it is recorded"),
        ("bo/only", ""),
        ("ada/torn", "no work on it is recorded"),
    ):
        found = passport("tell", content, name, "--show")
        assert (found.exit_code, said in found.output) == (1 if said else 0, True)
    old = passport("tell", content, "ada/split", "--what", "due", "--show")
    assert "Nothing says that the strings" in old.output
    late = passport("tell", content, "ada/split", "--show")
    assert "its last work was on 2026-02-02" in late.output


def test_it_is_sent_after_a_look_and_a_yes_alone(content, monkeypatch):
    """The message stands above the question; a no sends nothing, and what the server refuses is not kept as told."""
    handed = []
    monkeypatch.setattr(tell, "sent", lambda message, server, password: handed.append(message))
    as_a_person(monkeypatch)

    def run(answer):
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
        return runner.invoke(main, ["tell", str(content), NUMBER, "--what", "done", "--send"], input=f"{answer}\n")

    refused = run("")
    assert refused.exit_code == 1
    assert refused.output.index("is done.") < refused.output.index("Send this to secret-mail@ada.example? [y/N]")
    assert (handed, told(content, "ada")) == ([], ())
    assert run("y").exit_code == 0
    assert handed[0]["To"] == "secret-mail@ada.example"
    assert told(content, "ada")[0].by == "mail"
    monkeypatch.setattr(tell, "sent", lambda *_: (_ for _ in ()).throw(post.Refused("The server is away.")))
    failed = passport("tell", content, "ada/twin", "--what", "done", "--send", "--yes")
    assert failed.exit_code == 1
    assert len(told(content, "ada")) == 1


def test_everybody_whose_order_is_done_is_told_once(content, opened):
    """Who waits to collect is told; a frame that is still on the rack, or was handed back, is not called done."""
    assert passport("take", content, "ada/main", "--again", "--yes").exit_code == 0
    waits = passport("tell", content, NUMBER, "--what", "done", "--show")
    assert (waits.exit_code, "waits at the bench still" in waits.output) == (1, True)
    assert passport("log", content, "ada/main", "--ordered", "--no-build", "--yes", "--sure").exit_code == 0
    done = passport("tell", content, "--done", "--text", "--yes")
    assert done.exit_code == 0, done.output
    assert len(opened) == 1
    assert told(content, "ada")[0].what == "done"
    assert "Nobody else" in passport("tell", content, "--done", "--text", "--yes").output
    assert len(opened) == 1
    assert passport("handover", content, NUMBER, "--yes").exit_code == 0
    over = passport("tell", content, NUMBER, "--what", "done", "--show")
    assert (over.exit_code, "was handed back on 2026-11-25" in over.output) == (1, True)
