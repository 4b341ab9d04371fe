"""``passport due``: who is due, in order, with private contact, as a table and as data."""

import json
from datetime import date

import manynames
import pytest
from bedshop import frame, job, shop
from commandline import passport, refused

from passport.records.faults import columns

FRAMES = {
    "late": frame(job("2026-09-01", "ring: 600 Hz, age: 15 min"), label="Late"),
    "early": frame(job("2026-06-01"), label="Early"),
    "fresh": frame(job("2026-11-20"), label="Fresh"),
}
OTHERS = {
    "players/dee/player.yaml": "name: Dee\n",
    "players/dee/one.yaml": frame(job("2024-01-01"), label="Unknown"),
}


@pytest.fixture
def content(tmp_path):
    """Frames strung on 1 June, 1 September and 20 November of a player who plays four times a week, and one of Dee's."""
    return shop(tmp_path, FRAMES, player="plays_a_week: 4\n", changes=OTHERS).root


def data(*arguments) -> list[dict]:
    """What ``--json`` prints."""
    result = passport("due", *arguments, "--json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_the_most_urgent_first_with_contact(content):
    """The table names day, frame, who it is and how to reach them; what is not due soon is left out and counted."""
    result = passport("due", content)
    assert result.exit_code == 0
    assert result.stdout.index("Early") < result.stdout.index("Late")
    for word in ("2026-08-31", "86 d ago", "Cyrus Cole", "01632 960777", "cy@cole.example", "plays 4 a week"):
        assert word in result.stdout
    assert "Fresh" not in result.stdout
    assert "2 of 4 strung frames in play are due within 14 days." in result.stdout
    assert "1 has no due date: note how often its player plays" in result.stdout


def test_further_ahead_and_everyone(content):
    """--within looks further ahead, --all lists also those without a day, last."""
    assert [e["label"] for e in data(content)] == ["Early", "Late"]
    assert [e["label"] for e in data(content, "--within", "90")] == ["Early", "Late", "Fresh"]
    assert [e["label"] for e in data(content, "--all")] == ["Early", "Late", "Fresh", "Unknown"]
    assert [e["label"] for e in data(content, "--within", "0")] == ["Early"]


def test_no_more_than_can_be_looked_through(content):
    """--most lists the most urgent alone, says how many more there are, and no other player's record is opened."""
    said = passport("due", content, "--within", "90", "--most", "2").stdout
    assert "Early" in said and "Late" in said and "Fresh" not in said
    assert "The 2 most urgent of them are listed; --most 3 lists all." in said
    assert "3 of 4 strung frames in play are due within 90 days." in said
    assert "most urgent" not in passport("due", content, "--within", "90", "--most", "3").stdout
    assert [e["label"] for e in data(content, "--all", "--most", "1")] == ["Early"]


def test_the_columns_fit_the_terminal(content, monkeypatch):
    """Of a name in wide letters as many columns are left free as a terminal prints it in (Unicode Annex 11)."""
    manynames.add(content, monkeypatch)
    (content / "players/dee/player.yaml").write_text(
        "name: Dee\nfull_name: 陳 大文\nplays_a_week: 2\n", encoding="utf-8"
    )
    lines = passport("due", content, "--all", env={"COLUMNS": "80"}).stdout.splitlines()
    assert max(map(columns, lines)) <= 80
    head, wide = lines[0], next(line for line in lines if "陳" in line)
    at = columns(wide[: wide.index("陳")])
    assert head[at:].startswith("Player")
    assert columns(wide[: wide.index("plays 2")]) == head.index("Why")


def test_as_data(content):
    """The data carries the day, the reasons, the contact and what is left with its band."""
    (early, late) = data(content)
    assert early["due"] == "2026-08-31"  # 91 days, four times in 365
    assert early["days"] == (date(2026, 8, 31) - date(2026, 11, 25)).days
    assert early["reasons"] == [{"kind": "plays", "day": "2026-08-31", "why": "plays 4 a week"}]
    assert (early["full_name"], early["phone"], early["email"]) == ("Cyrus Cole", "01632 960777", "cy@cole.example")
    low, high = late["left_percent_band"]
    assert low < late["left_percent"] < high
    assert early["frame"] == "cy/early"


def test_someone_without_contact_or_day(content):
    """A player without contact or a habit is listed by name, with a dash for the day."""
    result = passport("due", content, "--all")
    line = next(row for row in result.stdout.splitlines() if "Dee" in row)
    assert line.startswith("–")
    assert "4 strung frames in play." in result.stdout
    assert data(content, "--all")[-1]["due"] is None


def test_nobody_is_due(tmp_path):
    """Where nobody is due the command says so and ends well."""
    content = shop(tmp_path, {"fresh": FRAMES["fresh"]}, player="plays_a_week: 4\n").root
    result = passport("due", content)
    assert (result.exit_code, data(content)) == (0, [])
    assert result.stdout == "0 of 1 strung frame in play are due within 14 days.\n"


def test_an_address_is_never_broken(tmp_path):
    """Even on a narrow terminal an e-mail address stays on one line."""
    mail = "a.rather.long.name.indeed@a-club-with-a-long-name.example"
    player = {"players/cy/player.yaml": f"name: Cy\nplays_a_week: 4\ncontact: {{email: {mail}}}\n"}
    content = shop(tmp_path, {"early": FRAMES["early"]}, changes=player).root
    assert mail in passport("due", content, env={"COLUMNS": "80"}).stdout


def test_faults_stop_it(content):
    """Records with errors are reported, and nothing is listed."""
    (content / "players/dee/one.yaml").write_text("model: none\n", encoding="utf-8")
    refused(passport("due", content), "missing-key")
