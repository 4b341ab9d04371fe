"""``passport take``: what is wanted of a frame is data, held against the maker's limits, and done by ``passport log``."""

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, passport, refused, tree
from PIL import Image
from pypdf import PdfReader

from passport.acts.safekeeping.retention import unneeded
from passport.cli.main import main
from passport.records.load import load
from passport.records.schema.frame import Frame

MAIN = "players/ada/main.yaml"
NUMBER = smallshop.NUMBERS["main"]


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


@pytest.fixture
def talked(monkeypatch, content):
    """Runs a command with some lines typed at a terminal."""
    as_a_person(monkeypatch)

    def run(command, name, *lines, options=()):
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
        typed = "".join(f"{line}\n" for line in lines)
        return runner.invoke(main, [command, str(content), name, *options], input=typed)

    return run


def frame(content, name="ada/main") -> Frame:
    """The record as it is now."""
    return load(content)[0].frames[name].record


def take(content, *arguments):
    """A frame taken in."""
    return passport("take", content, *arguments)


def test_what_differs_from_the_last_time_becomes_the_whole_recipe(content):
    """Two pounds looser than 24 / 23 kg is 23.1 / 22.1 kg (1 lb = 0.45359237 kg, exact); all else is as it was."""
    result = take(content, NUMBER, "--tension", "two pounds looser", "--promised", "friday", "--price", "£21.00")
    assert result.exit_code == 0, result.output
    order = frame(content).order
    assert order
    mains, crosses = order.strings.both
    assert (mains.string, mains.tension.text) == ("reed-125", "23.1 kg")
    assert (crosses.string, crosses.tension.text, order.strings.pieces) == ("flint-120", "22.1 kg", 2)
    assert (order.asked, order.price) == ("two pounds looser", "£21.00")
    # 2026-11-25 is a Wednesday (ISO 8601 weekday 3), so the Friday to come is the 27th
    assert (order.taken.isoformat(), order.promised.isoformat()) == ("2026-11-25", "2026-11-27")
    assert passport("check", content).exit_code == 0


def test_every_other_line_stays_and_undo_brings_all_of_it_back(content):
    """An order is one block in the frame's record; taking it back leaves every file as it was."""
    before = tree(content)
    take(content, NUMBER, "--again", "--condition", "no crack, grommets worn 9T 10H, a chip at 2 o'clock")
    after = tree(content)
    assert {name for name in after if after[name] != before.get(name)} == {MAIN}
    added = set(after[MAIN].decode().splitlines()) - set(before[MAIN].decode().splitlines())
    assert set(before[MAIN].decode().splitlines()) - set(after[MAIN].decode().splitlines()) == set()
    assert "order:" in added
    assert passport("undo", content, "--yes").exit_code == 0
    assert tree(content) == before


def test_what_nobody_looked_at_is_not_claimed(content):
    """Only what was said to be looked at is in the condition."""
    take(content, NUMBER, "--again", "--condition", "no crack", "--condition", "bumper sound; ring 541 Hz, dusty")
    condition = frame(content).order.condition
    assert condition.model_fields_set == {"crack", "bumper", "ring", "note"}
    assert (condition.crack, condition.bumper, condition.ring.text) == ("none", "sound", "541 Hz")
    assert condition.note == "dusty"


def test_it_is_held_against_the_makers_limit_when_it_is_taken(content):
    """26 kg is the frame's limit: 27 kg is warned of over the counter, with the place, before it is written."""
    result = take(content, NUMBER, "--tension", "27 kg", "--dry-run")
    assert "tension-limit" in result.stderr
    assert "over the frame maker's limit of 57.3 lb (26.0 kg)" in result.stderr
    assert frame(content).order is None
    assert "tension-limit" not in take(content, NUMBER, "--tension", "26 kg").stderr


def test_a_value_far_from_all_that_is_usual_is_asked_about(content):
    """A slip of the tongue is refused, and written with a remark in the order where somebody is sure."""
    refused(take(content, NUMBER, "--tension", "13 kg"), "far from all that is usual", "--sure")
    assert frame(content).order is None
    assert take(content, NUMBER, "--tension", "13 kg", "--sure").exit_code == 0
    assert "13 kg is not what tennis frames are strung with" in frame(content).order.sure
    assert frame(content).sure == ""


def test_a_cracked_frame_is_not_strung(content):
    """A crack found at the counter and a stringing wanted do not go together, there or at the machine."""
    result = take(content, NUMBER, "--again", "--condition", "crack found at 3 o'clock")
    refused(result, "cracked", "A cracked frame is not strung.")
    assert frame(content).order is None
    found = take(content, NUMBER, "--asked", "look it over", "--condition", "crack found at 3 o'clock")
    assert found.exit_code == 0
    assert frame(content).order.condition.crack_at == "3 o'clock"
    assert "--set status=broken" in found.stdout
    refused(passport("log", content, NUMBER, "--again", "--no-build"), "crack was found", "must not be strung")
    again = take(content, NUMBER, "--condition", "crack none", "--again")
    assert again.exit_code == 0
    assert (frame(content).order.condition.crack, frame(content).order.condition.crack_at) == ("none", "")


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["gone", "--again"], "marked lost"),
        (["done", "--again"], "retired"),
        (["fresh", "--again"], "nothing to repeat"),
        (["fresh", "--tension", "2 lb looser"], "no last tension is on record"),
        (["main", "--promised", "friday"], "Nothing is said of what is wanted"),
        (["main", "--tension", "60 lb less"], "is no tension"),
        (["main", "--withdraw", "--yes"], "does not wait at the bench"),
        (["nobody", "--again"], "passport walk-in"),
        (["split", "--again"], "A cracked frame is not strung"),
    ],
)
def test_what_cannot_be_wanted_is_refused_in_words(content, arguments, word):
    """Each case ends with a sentence and leaves every file alone."""
    before = tree(content)
    name, *rest = arguments
    refused(take(content, f"ada/{name}", *rest), word)
    assert tree(content) == before


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--again", "--promised", "yesterday"], ("--promised", "is over")),
        (["--again", "--promised", "in a while"], ("--promised", "'friday', 'tomorrow' or 'in 3 days'")),
        (["--again", "--promised", "2028-01-01"], ("more than a year away",)),
        (["--again", "--condition", "grommets bad"], ("--condition", "sound, worn, broken, missing")),
        (["--again", "--condition", "crack"], ("--condition", "'crack none'")),
        (["--tension", "52"], ("--tension", "has no unit")),
        (["--withdraw", "--again"], ("stands alone",)),
        ([], ("Say what is wanted",)),
    ],
)
def test_a_slip_is_named_by_its_option(content, arguments, words):
    """What cannot be read ends with code 2 and what to write instead."""
    result = take(content, NUMBER, *arguments)
    assert result.exit_code == 2
    assert all(word in " ".join(result.stderr.split()) for word in words), result.stderr


def test_what_is_said_later_joins_what_waits(content):
    """A second word on the same order changes its day and adds a part; a change of tension counts from the last stringing."""
    take(content, NUMBER, "--tension", "2 lb looser", "--fit", "thin-overgrip @ along the handle")
    take(content, NUMBER, "--promised", "in 3 days", "--fit", "lead-tape @ 12 = 1 g")
    take(content, NUMBER, "--tension", "1 kg looser")
    order = frame(content).order
    assert [part.part for part in order.fitted] == ["thin-overgrip", "lead-tape"]
    assert order.strings.mains.tension.text == "23 kg"
    assert order.promised.isoformat() == "2026-11-28"
    take(content, NUMBER, "--no-strings")
    assert frame(content).order.strings is None
    assert take(content, NUMBER, "--withdraw", "--yes").exit_code == 0
    assert frame(content).order is None
    assert (content / MAIN).read_text(encoding="utf-8") == smallshop.FILES[MAIN]


def test_the_one_line_of_an_older_record_is_carried_forward(content):
    """``rack: …`` is read as what was asked, and becomes an order with the first word on it, or goes into the job."""
    path = content / "players/ada/twin.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "rack: restring as before\n", encoding="utf-8")
    assert frame(content, "ada/twin").waiting.asked == "restring as before"
    take(content, "ada/twin", "--promised", "tomorrow")
    twin = frame(content, "ada/twin")
    assert (twin.rack, twin.order.asked, twin.order.promised.day) == ("", "restring as before", 26)
    assert passport("undo", content, "--yes").exit_code == 0
    assert passport("log", content, "ada/twin", "--again", "--no-build", "--yes").exit_code == 0
    twin = frame(content, "ada/twin")
    assert (twin.rack, twin.waiting, twin.jobs[-1].order.asked) == ("", None, "restring as before")


def test_a_player_with_one_frame_stands_for_it(content):
    """Whoever has one frame in play is named by name; with several it is asked which, or said."""
    assert take(content, "Bo", "--again").exit_code == 0
    assert frame(content, "bo/only").order.strings.mains.tension.text == "50 lb"
    refused(take(content, "Ada", "--again"), "several frames in play", "Name one of them")


# --- done as it was ordered ------------------------------------------------------------------------------------


def ordered(content):
    """The small workshop with an order: a kilo tighter, a new grip, two grommets, the old strings read."""
    take(
        content, NUMBER, "--tension", "1 kg up", "--fit", "thin-overgrip @ along the handle", "--repair", "grommets: two",
        "--price", "£25.00", "--condition", "ring 541 Hz",
    )  # fmt: skip
    return frame(content).order


def test_log_takes_the_order_for_what_is_not_said(content):
    """With one word the job is what was ordered, with the price and the reading of the old strings, and the order in it."""
    order = ordered(content)
    result = passport("log", content, NUMBER, "--ordered", "--ring", "590 Hz", "--minutes", "15", "--no-build")
    assert result.exit_code == 0, result.output
    job = frame(content).jobs[-1]
    assert job.strings == order.strings
    assert (job.fitted, job.repairs, job.price) == (order.fitted, order.repairs, "£25.00")
    assert [(r.when, r.ring.text, r.age.text) for r in job.readings] == [
        ("before", "541 Hz", "268 d"),  # from 2026-03-02 to 2026-11-25: 29 + 30 + 31 + 30 + 31 + 31 + 30 + 31 + 25
        ("after", "590 Hz", "15 min"),
    ]
    assert job.order == order
    assert frame(content).waiting is None
    assert "as it was ordered" in result.stdout


def test_what_was_done_otherwise_is_shown_and_both_are_kept(content):
    """Another tension on the crosses and a repair left out are told, and the order stays as it was said."""
    order = ordered(content)
    only = passport(
        "log", content, NUMBER, "--only", "--again", "--crosses-tension", "23 kg", "--no-build", "--yes"
    )  # fmt: skip
    for line in (
        "Wanted on the mains: 25 kg. Strung: 24 kg.",
        "Wanted on the crosses: 24 kg. Strung: 23 kg.",
        "Wanted but not fitted: Thin overgrip along the handle.",
        "Wanted but not repaired: grommets (two).",
        "otherwise than it was ordered",
    ):
        assert line in only.stdout
    job = frame(content).jobs[-1]
    assert (job.order, job.strings.mains.tension.text, job.fitted) == (order, "24 kg", ())
    assert passport("check", content).exit_code == 0


def test_the_order_is_the_default_and_is_looked_at(content):
    """A reading alone on a frame that waits would record the order as done: nobody there to agree, nothing is written."""
    order = ordered(content)
    asked = passport("log", content, NUMBER, "--mass", "331 g", "--no-build")
    refused(asked, "nobody is here to agree")
    assert frame(content).order == order
    agreed = passport("log", content, NUMBER, "--mass", "331 g", "--no-build", "--yes")
    assert agreed.exit_code == 0
    assert frame(content).jobs[-1].strings == order.strings


def test_more_to_be_done_leaves_the_order(content):
    """``--keep-on-rack`` records what is said alone, and the frame goes on waiting."""
    order = ordered(content)
    passport("log", content, NUMBER, "--mass", "331 g", "--keep-on-rack", "--no-build")
    assert frame(content).order == order
    assert (frame(content).jobs[-1].strings, frame(content).jobs[-1].order) == (None, None)


def test_done_as_ordered_needs_an_order(content):
    """Nothing is done as ordered where nothing was."""
    refused(passport("log", content, NUMBER, "--ordered"), "Nothing is ordered", "passport take")


def test_a_reel_that_cannot_serve_is_told_when_the_frame_is_taken(content):
    """A book with 4 m of a string says so over the counter; one with 100 m says nothing, and no book says nothing."""
    assert "stock" not in take(content, "ada/twin", "--again", "--dry-run").stdout
    for metres, told in (("4", True), ("100", False)):
        lot = f"reel: {{of: reed-125, counted: {{date: 2026-11-20, amount: {metres} m}}}}\n"
        (content / "catalogue/stock.yaml").write_text(lot, encoding="utf-8")
        said = take(content, "ada/twin", "--again", "--dry-run").stdout
        assert ("Not enough in stock: Reed, 4.0 m by the book" in said) is told


# --- asked at the counter --------------------------------------------------------------------------------------


def test_enter_all_the_way_wants_the_last_stringing_again(content, talked):
    """Whoever only presses Enter, but for the day, wants the last stringing; the questions are few."""
    result = talked("take", NUMBER, "", "", "fri", "", "", "", "")
    assert result.exit_code == 0, result.output
    order = frame(content).order
    assert order.strings == frame(content).jobs[1].strings
    assert order.promised.isoformat() == "2026-11-27"
    for said in ("Wanted [as last time]", "last strung on 2026-03-02: reed-125, 24 kg / 23 kg", "Write this? [Y/n]"):
        assert said in result.output
    assert result.output.count(": \n") + result.output.count("]: ") <= 8


def test_a_change_is_understood_where_it_is_asked_what_is_wanted(content, talked):
    """'2 lb looser' is all that has to be said; a slip is asked again, and a dash leaves out."""
    talked(
        "take",
        NUMBER,
        "2 lb looser",
        "",
        "someday",
        "in 2 days",
        "£20.00",
        "grommets fine",
        "no crack, bumper worn",
        "",
        "y",
    )
    order = frame(content).order
    assert (order.asked, order.strings.mains.tension.text) == ("2 lb looser", "23.1 kg")
    assert (order.promised.day, order.price, order.condition.bumper, order.condition.grommets) == (
        27,
        "£20.00",
        "worn",
        None,
    )


def test_another_wish_is_kept_in_its_words_beside_the_recipe(content, talked):
    """What is no change of tension is kept as it was said, and string and tension are asked for."""
    talked("take", NUMBER, "softer, the arm hurts", "Reed", "23 kg", "", "", "", "", "", "y")
    order = frame(content).order
    assert order.asked == "softer, the arm hurts"
    assert {s.string for s in order.strings.both} == {"reed-125"}
    assert {s.tension.text for s in order.strings.both} == {"23 kg"}


def test_the_job_is_asked_with_the_order_offered(content, talked):
    """At the machine the order stands on top, and Enter says that it was done so."""
    order = ordered(content)
    result = talked("log", NUMBER, *[""] * 12, options=("--no-build",))
    assert result.exit_code == 0, result.output
    assert (
        "Ordered: restring, Reed at 25 kg, crosses Flint at 24 kg; fit Thin overgrip along the handle" in result.output
    )
    assert "Done as ordered? [Y/n]" in result.output
    assert frame(content).jobs[-1].strings == order.strings


def test_what_was_done_otherwise_is_asked_with_the_order_offered(content, talked):
    """Who says no is offered the recipe that was ordered, and only what is answered is recorded."""
    order = ordered(content)
    result = talked(
        "log", NUMBER, "", "n", "y", "", "", "", "", "23 kg", "", "", *[""] * 10, options=("--no-build",)
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    job = frame(content).jobs[-1]
    assert (job.strings.mains.tension.text, job.strings.both[1].tension.text) == ("25 kg", "23 kg")
    assert (job.fitted, job.order) == ((), order)
    assert "Wanted on the crosses: 24 kg. Strung: 23 kg." in result.output


def test_show_has_the_order_on_top(content):
    """What is wanted stands before the recipe that is in the frame, and what was done otherwise after it is done."""
    ordered(content)
    lines = passport("show", content, NUMBER).stdout.splitlines()
    place = next(i for i, line in enumerate(lines) if line.startswith("Ordered: restring, Reed at 25 kg"))
    mains = [(i, line) for i, line in enumerate(lines) if line.startswith("Mains  ")]
    assert place < mains[0][0] and "25.0 kg" in mains[0][1] and "24.0 kg" in mains[1][1]
    assert lines.index("Wanted") < mains[0][0] < lines.index("In it now") < mains[1][0]
    assert sum(line.startswith("Strung ") for line in lines) == 1
    assert "Seen: old strings read 541 Hz" in lines
    passport("log", content, NUMBER, "--ordered", "--tension", "24 kg", "--no-build")
    shown = passport("show", content, NUMBER).stdout
    assert "Ordered:" not in shown
    assert "On 2026-11-25 it was done otherwise than ordered:\n  Wanted on the mains: 25 kg. Strung: 24 kg." in shown


def test_upgrade_makes_an_order_of_the_one_line(content):
    """``passport upgrade`` carries what an older record said in one line, and nothing else changes in it."""
    path = content / "players/ada/twin.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "rack: restring as before\n", encoding="utf-8")
    result = passport("upgrade", content, "--write")
    assert result.exit_code == 0, result.output
    assert "players/ada/twin.yaml: what stands on the line 'rack' becomes an order" in result.output
    twin = frame(content, "ada/twin")
    assert (twin.rack, twin.order.asked, len(twin.jobs)) == ("", "restring as before", 1)
    assert "rack" not in passport("upgrade", content, "--write").output


def test_the_dialogue_goes_back_and_is_kept(content, talked):
    """'<' asks the last question again, '<<' stops and keeps what was typed, and the next time goes on with it."""
    stopped = talked("take", NUMBER, "2 lb looser", "", "friday", "<", "in 2 days", "£20.00", "<<")
    assert stopped.exit_code == 1
    assert "What you typed is kept" in stopped.output
    assert frame(content).order is None
    result = talked("take", NUMBER, "y", "£20.00", "", "", "y")
    assert result.exit_code == 0, result.output
    order = frame(content).order
    assert (order.asked, order.promised.day, order.price) == ("2 lb looser", 27, "£20.00")


def test_who_waits_is_not_reminded(content, tmp_path):
    """A frame that is due and on the rack is not on the day's list of whom to reach."""

    def reached():
        passport("day", content, "--within", "400", "--out", tmp_path / "day.pdf")
        return PdfReader(tmp_path / "day.pdf").pages[0].extract_text().partition("Due for restringing")[2]

    assert NUMBER in reached()
    take(content, NUMBER, "--again", "--promised", "tomorrow")
    assert NUMBER not in reached()


def test_erasing_a_player_erases_the_photo_of_the_condition(content):
    """A photo that only an order names goes with the player, and is in no build."""
    folder = content / "photos"
    folder.mkdir(exist_ok=True)
    Image.new("RGB", (40, 30), "grey").save(folder / "chip.jpg")
    take(content, NUMBER, "--again", "--photo", "chip.jpg")
    assert frame(content).order.condition.photo == "chip.jpg"
    assert [one.name for one in unneeded(content, 3, smallshop.TODAY) if one.name.startswith("photo")] == []
    result = passport("erase", content, "ada", "--yes")
    assert result.exit_code == 0, result.output
    assert not (folder / "chip.jpg").exists()
