"""``passport walk-in``: what is new is added where it is met, and what is there is found by any name."""

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, passport, tree

from passport.cli.main import main
from passport.records.load import load
from passport.records.schema import numbers

ALL_NEW = ("--reach", "01632 960155, mira@ropewalk.example", "--frame", "Haldric, Rowan 100, tennis, 100",
           "--string", "Oxbow, Gorse, 1.30, polyester", "--tension", "52/50 lb", "--done", "--no-build")  # fmt: skip


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


@pytest.fixture
def typed(monkeypatch, content):
    """Types lines into the dialogue."""
    as_a_person(monkeypatch)

    def run(*lines, options=("--done", "--no-build")):
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
        return runner.invoke(main, ["walk-in", str(content), *options], input="".join(f"{line}\n" for line in lines))

    return run


def jobs(content, name):
    """The jobs of a frame."""
    return load(content)[0].frames[name].record.jobs


def test_everything_new_is_one_command(content):
    """Player, model, string, frame and job in one change, which one undo takes back."""
    before = tree(content)
    done = passport("walk-in", content, "Mira T., Mira Tarrow", *ALL_NEW, "--yes")
    assert done.exit_code == 0, done.output
    records, faults = load(content)
    assert not [fault for fault in faults if fault.severity == "error"]
    player, frame = records.players["mira-t"].record, records.frames["mira-t/1"].record
    assert (player.name, player.full_name) == ("Mira T.", "Mira Tarrow")
    assert (player.contact.email, player.contact.phone) == ("mira@ropewalk.example", "01632 960155")
    assert frame.number == numbers.with_check(max(map(numbers.running_number, smallshop.NUMBERS.values())) + 1)
    assert frame.number in done.output
    bed = frame.jobs[0].strings
    assert bed
    assert [(part.string, part.tension.text) for part in bed.both] == [("gorse-130", "52 lb"), ("gorse-130", "50 lb")]
    assert (records.models[frame.model].record.maker, frame.serial, frame.grip) == ("Haldric", "", "")
    assert passport("undo", content, "--yes").exit_code == 0
    after = tree(content)
    assert {name: data for name, data in after.items() if name in before and "ledger" not in name} == {
        name: data for name, data in before.items() if "ledger" not in name
    }
    assert not [name for name in after if "mira-t" in name and ".passport" not in name]


def test_what_is_near_is_never_guessed(content):
    """Without a person a name that is near another one is refused, unless it is said to be new."""
    refused = passport("walk-in", content, "Adda", *ALL_NEW, "--yes")
    assert refused.exit_code == 1
    assert "Did you mean ada (Ada, SECRET-FULL-NAME, 8 frames)?" in refused.output
    done = passport("walk-in", content, "Adda", *ALL_NEW, "--new", "--yes")
    assert done.exit_code == 0, done.output
    assert "adda" in load(content)[0].players


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--reach", "at the club", "--reach: 'at the club' is neither"),
        (
            "--frame",
            "Haldric, Rowan 100, tennis",
            "--frame: 'Rowan 100' is not in the catalogue, and its head is not said",
        ),
        ("--string", "Oxbow, Gorse, 1.30", "its material is not said. Write 'maker, name, gauge, material'"),
        ("--plays", "often", "--plays: 'often' is not how often"),
        ("--language", "tlh", "--language: The pages speak"),
        ("--tension", "52", "--tension: '52' has no unit"),
    ],
)
def test_a_slip_is_named_by_its_option(content, option, value, said):
    """What cannot be read is told with the option that it stands in, and nothing is written."""
    before = tree(content)
    words = [*ALL_NEW, option, value]
    refused = passport("walk-in", content, "Mira T.", *words, "--yes")
    assert refused.exit_code == 2
    assert said in " ".join(refused.output.split())
    assert tree(content) == before


def test_a_known_player_is_found_by_telephone_and_gets_the_last_recipe(content, typed):
    """The frames in play are listed; Enter for string and tension repeats what was strung last."""
    result = typed("SECRET-PHONE 01632 960777", "main", "", "", "", "", "y")
    assert result.exit_code == 0, result.output
    assert "another player of that name" in result.output
    new, old = jobs(content, "ada/main")[-1], jobs(content, "ada/main")[1]
    assert (new.date, new.strings) == (smallshop.TODAY, old.strings)


def test_a_string_is_listed_offered_and_found(content, typed):
    """'?' lists what there is; a typo offers what is near by its number; both sides may differ."""
    result = typed("Ada", "main", "?fli", "Reeds / Flint", "1", "51/49 lb", "", "", "y")
    assert result.exit_code == 0, result.output
    assert "flint-120  Oxbow Flint, 1.20 mm, polyester" in result.output
    assert "Did you mean one of these?\n  1  Oxbow Reed, 1.25 mm, nylon" in result.output
    bed = jobs(content, "ada/main")[-1].strings
    assert bed
    assert [part.string for part in bed.both] == ["reed-125", "flint-120"]


def test_what_a_line_leaves_out_is_asked_for(content, typed):
    """A maker alone is not enough of a new model or string: the rest is asked, a question each."""
    result = typed(
        "Zoë", "", "", "", "Haldric, Rowan", "squash", "500", "Zweiter, 3 1/4, HW-1", "Gorse", "Oxbow", "17", "poly", "26 lb", "", "", "y",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    records = load(content)[0]
    frame = records.frames["zoe/zweiter"].record
    assert (frame.label, frame.grip, frame.serial) == ("Zweiter", "3 1/4", "HW-1")
    model = records.models[frame.model].record
    assert (model.sport, model.head.size.text) == ("squash", "500 cm2")
    string = records.strings[frame.jobs[0].strings.mains.string].record
    assert (string.maker, string.name, string.gauge.text, string.material) == ("Oxbow", "Gorse", "17", "polyester")


def test_another_player_of_the_same_name_is_a_new_one(content, typed):
    """Two people may be called Ada; the second one gets a folder of her own."""
    result = typed(
        "Ada",
        "other",
        "",
        "",
        "",
        "larch-98",
        "",
        "reed-125",
        "50 lb",
        "",
        "",
        "y",
        options=("--done", "--no-build", "--sure"),
    )
    assert result.exit_code == 0, result.output
    assert load(content)[0].players["ada-2"].record.name == "Ada"


def test_what_is_wanted_is_the_order(content, typed):
    """A frame that is left at the bench gets its order with the promise; what is not to be strung needs no string."""
    lines = ["Bo", "new", "larch-98", "Second", "Oxbow, Gorse, 1.30, poly", "50 lb", "No logo.", "in 3 days", "18", "y"]
    result = typed(*lines, options=())
    assert result.exit_code == 0, result.output
    frame = load(content)[0].frames["bo/second"].record
    assert f"Its label: passport label {content} {frame.number}" in result.output
    order = frame.order
    assert order
    assert order.strings
    assert (frame.jobs, order.promised.isoformat(), order.asked, order.price) == ((), "2026-11-28", "No logo.", "18")
    assert order.strings.mains.string == "gorse-130"
    result = typed("Bo", "new", "larch-98", "Third", "-", "A new grip.", "", "", "y", options=())
    assert result.exit_code == 0, result.output
    order = load(content)[0].frames["bo/third"].record.order
    assert order
    assert (order.strings, order.asked) == (None, "A new grip.")


def test_nothing_wanted_is_no_order(content, typed):
    """A frame of which nothing is said is not put on the rack."""
    result = typed("Bo", "new", "larch-98", "Second", "-", "", "", "", "y", options=())
    assert result.exit_code == 0, result.output
    frame = load(content)[0].frames["bo/second"].record
    assert (frame.order, frame.jobs) == (None, ())


@pytest.mark.parametrize("command", ["log", "take"])
def test_somebody_nobody_knows_is_a_walk_in(content, typed, monkeypatch, command):
    """Where a name fits no frame, 'log' and 'take' offer the walk-in; what is typed already is not asked again."""
    as_a_person(monkeypatch)
    rest = [
        "y",
        "",
        "",
        "",
        "larch-98",
        "",
        "reed-125",
        "50 lb",
        *(["", ""] if command == "log" else ["", "", ""]),
        "y",
    ]
    runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
    more = [] if command == "take" else ["--no-build"]
    result = runner.invoke(main, [command, str(content), "Zoë", *more], input="".join(f"{line}\n" for line in rest))
    assert result.exit_code == 0, result.output
    frame = load(content)[0].frames["zoe/1"].record
    assert (bool(frame.jobs), bool(frame.order)) == ((True, False) if command == "log" else (False, True))


def test_a_new_string_is_met_at_a_job_and_at_an_order(content):
    """'log' and 'take' add a string that is said as its packet says it, in the same change."""
    new = "Oxbow, Heath, 1.25, gut"
    done = passport("log", content, "ada/main", "--again", "--string", f"{new} / flint-120", "--no-build")
    assert done.exit_code == 0, done.output
    bed = jobs(content, "ada/main")[-1].strings
    assert bed
    assert [part.string for part in bed.both] == ["heath-125", "flint-120"]
    done = passport("take", content, "ada/twin", "--mains", "Oxbow, Bracken, 17, poly", "--yes")
    assert done.exit_code == 0, done.output
    records = load(content)[0]
    assert records.frames["ada/twin"].record.order.strings.mains.string in records.strings
    refused = passport("log", content, "ada/main", "--again", "--string", "Oxbow, Heather, 1.25", "--no-build")
    assert refused.exit_code == 1
    assert "Heather" in refused.output


def test_a_string_is_listed_and_new_at_a_job_too(content, monkeypatch):
    """In the dialogue of a job '?' lists what there is, a typo names what is near, and a packet's line adds the string."""
    as_a_person(monkeypatch)
    lines = ["", "y", "", "?fli", "Flnt", "Oxbow, Heath, 1.25, gut", "50 lb", *[""] * 12, "y"]
    runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
    text = "".join(f"{line}\n" for line in lines)
    result = runner.invoke(main, ["log", str(content), "ada/twin", "--no-build"], input=text)
    assert result.exit_code == 0, result.output
    assert "flint-120  Oxbow Flint" in result.output
    assert "Did you mean 'flint-120'?" in result.output
    bed = jobs(content, "ada/twin")[-1].strings
    assert bed
    assert bed.mains.string == "heath-125"
