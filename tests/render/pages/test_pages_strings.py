"""What the pages say of the strings: how they hold, in three numbers kept apart, when they are due, and batches."""

import re
from dataclasses import replace

import pytest
from htmlread import Page, faults, inline_parts
from smallshop import FILES, KEYS, NUMBERS, facts, of

from passport.render.pages.pages import Pages
from passport.render.theme.assets import templates
from passport.workshop.facts.bedfacts import HoldFacts

LIMITS = FILES["workshop.yaml"] + "restring: {loss: 10 %, hours: {nylon: 60 h, polyester: 40 h}}\n"
MAIN = FILES["players/ada/main.yaml"]


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The facts of the small workshop, with limits and a note of play."""
    played = MAIN.replace("{ring: 560 Hz, age: 31 d}", "{ring: 560 Hz, age: 31 d, played: 12 h}")
    return facts(tmp_path_factory.mktemp("small"), {"workshop.yaml": LIMITS, "players/ada/main.yaml": played})


def page(site, frame) -> Page:
    """The page of a frame, read."""
    return Page(Pages(site.shop, site.pages, (templates(),)).frame(frame, {"setup": "s"}).decode())


def words(site, frame) -> str:
    """What the page says, with plain spaces."""
    return page(site, frame).words.replace("\u202f", " ")


def test_the_page_stays_sound(small):
    """The section on the strings carries no style and no script of its own, and is closed properly."""
    found = page(small, of(small, "ada/main"))
    assert not inline_parts(found)
    assert not faults(found)


def test_how_alive_in_words_and_one_figure(small):
    """Two sentences say what was left when last read and what is expected on the due day, with its band."""
    main = of(small, "ada/main")
    said = words(small, main)
    left = main.life.left_on(main.due)
    assert "When last read, 31 days after stringing, 92 % of the fresh tension was left." in said
    assert f"By {main.due.day} {main.due:%B %Y} about {100 * left.value:.0f} %" in said
    assert f"({100 * left.low:.0f}–{100 * left.high:.0f} %)" in said


def test_three_numbers_are_kept_apart(small):
    """Pull tension, reading and bed tension stand under their own names, each with what it is, and why the bed holds less
    than was pulled."""
    said = words(small, of(small, "ada/main"))
    assert re.search("Pull tension Mains Reed.*24.0 kg \\(52.9 lb\\) Crosses Flint.*23.0 kg \\(50.7 lb\\)", said)
    assert "Reading shown by the reader, 31 days after stringing 560 Hz" in said
    held = r"The machine pulled 24.0 / 23.0 kg ?; in the bed [0-9]+( / [0-9]+)? kg were left 31 days after stringing, "
    assert re.search(held + r"worked out from 560 Hz, give or take [0-9]+ %\. That is no fault of the job:", said)
    assert "These are three different numbers." in said


def test_every_reading_with_its_age_and_share(small):
    """The readings of the bed stand with number, unit, age and what was left."""
    said = words(small, of(small, "ada/main"))
    assert "585 Hz 15 min after stringing 100 %" in said
    assert "560 Hz 31 days after stringing 92 %" in said


def test_every_reason_with_its_day(small):
    """Each reason to restring stands with its own day, the first also beside the age of the strings."""
    main = of(small, "ada/main")
    said = words(small, main)
    assert [r.kind for r in main.restring.reasons] == sorted(
        ("plays", "loss", "hours"), key={r.kind: r.day for r in main.restring.reasons}.__getitem__
    )
    assert "you play 3 times a week: restring at least 3 times a year" in said
    assert "10 % of the fresh tension expected to be gone" in said
    assert "40 h played, at 2.7 h a week" in said
    assert f"Restring by {main.due.day} {main.due:%B %Y}" in said


@pytest.mark.parametrize(
    ("source", "pooled", "own_share", "readings", "said"),
    [
        ("own", 0, 1.0, 3, "drawn from the 3 readings of this string bed."),
        ("own", 7, 0.6, 2, "the 2 readings of this string bed and steadied by 7 earlier beds of the same string"),
        ("own", 7, 0.95, 2, "the 2 readings of this string bed."),
        ("pooled", 1, 0.0, 1, "drawn from 1 earlier bed of the same string at this workshop and starts at the reading"),
        ("pooled", 5, 0.0, 0, "drawn from 5 earlier beds of the same string at this workshop."),
        ("prior", 0, 0.0, 0, "common practice: about a tenth is lost in the first 12 to 24 hours."),
    ],
)
def test_the_source_of_the_curve_is_named(small, source, pooled, own_share, readings, said):
    """The page says whether the curve comes from this bed, from others of its string, or from common practice."""
    main = of(small, "ada/main")
    life = replace(main.life, source=source, pooled=pooled, own_share=own_share, readings=readings)
    assert said in words(small, replace(main, life=life))


def test_strings_that_nobody_read(small):
    """Without a reading the page says so, and shows neither a reading nor a bed tension."""
    said = words(small, of(small, "ada/twin"))
    assert "No reading of these strings is recorded." in said
    assert "shown by the reader" not in said
    assert "worked out from" not in said


def test_strings_without_a_due_day(small):
    """Where nothing makes the strings due the page shows what is left after two months, and no date."""
    main = of(small, "ada/main")
    said = words(small, replace(main, restring=None, due=None))
    assert "After two months about" in said
    assert "Restring by" not in said


def test_a_frame_out_of_play_says_nothing_of_today(small):
    """A broken frame's page has no section on how its strings hold."""
    said = words(small, of(small, "ada/split"))
    assert "How the strings hold" not in said
    assert "Last strung on" in said


def test_which_string_held(small):
    """Where the readings tell it the page names the string that held, by how much and from how many beds; else not."""
    main = of(small, "ada/main")
    told = HoldFacts("Reed", "Flint", 40, 0.052, 0.021, 0.083, (3, 1), True)
    said = words(small, replace(main, hold=told))
    assert "Reed held best in this racquet." in said
    assert "After 40 days it had kept 5.2 percentage points more of its fresh tension than Flint (2.1 to 8.3)." in said
    assert "From 3 beds and 1." in said
    unsure = words(small, replace(main, hold=replace(told, told=False)))
    assert "The readings do not tell whether Reed or Flint holds longer in this racquet." in unsure
    assert "held best" not in unsure


def batch_page(tmp_path, *rings: str, more: str = "") -> str:
    """What Ada's page says of two frames strung on one day with these readings."""
    changes = {}
    for name, ring in zip(("main", "twin"), rings, strict=True):
        changes[f"players/ada/{name}.yaml"] = (
            f"number: {NUMBERS[name]}\nkey: {KEYS[name]}\nmodel: larch-98\nlabel: {name.title()}\nset: pair\njobs:\n"
            f"  - {{date: 2026-03-02, strings: {{mains: {{string: reed-125, tension: 52 lb}}}}, "
            f"readings: {{mass: 330 g, ring: {ring}, age: 15 min}}}}\n" + (more if name == "twin" else "")
        )
    site = facts(tmp_path, changes)
    ada = next(p for p in site.players if p.name == "Ada")
    return Page(Pages(site.shop, site.pages, (templates(),)).player(ada).decode()).words.replace("\u202f", " ")


def test_a_batch_that_agrees(tmp_path):
    """The set's page shows the frames' readings at one age and that they agree within the tolerance, in both units."""
    said = batch_page(tmp_path, "600 Hz", "600 Hz")
    assert "Strung in one go on 2 March 2026 Main 600 Hz 15 min after stringing Twin 600 Hz" in said
    assert "They agree: less than 0.1 lb (0.05 kg) between the highest and the lowest." in said
    assert "0.2 lb (0.09 kg) is allowed, as bed tension worked out from the readings." in said


def test_a_batch_that_does_not(tmp_path):
    """Frames that differ are said to; readings in lb are compared as shown and not called a bed tension."""
    said = batch_page(tmp_path, "27.0 lb", "26.0 lb")
    assert "They do not agree: 1.0 lb (0.45 kg) between the highest and the lowest." in said
    assert "worked out" not in said


def test_the_demo_names_its_odd_frame(demo_facts, built_demo):
    """The demo's matched set shows the day when one frame did not belong, and that it was strung again."""
    player = next(p for p in demo_facts.players for g in p.groups if any(b.odd for b in g.batches))
    html = (built_demo / player.key / "index.html").read_text(encoding="utf-8")
    said = Page(html).words.replace("\u202f", " ")
    assert "II is the odd one out: 0.9 lb (0.39 kg) below the others. It was strung again on 4 July 2025." in said


def test_pages_stay_light(demo_facts, built_demo):
    """No frame's page of the demo is larger than 45 kB, so that it comes quickly to a phone."""
    sizes = {f.number: (built_demo / f.key / "index.html").stat().st_size for f in demo_facts.frames}
    assert max(sizes.values()) < 45_000, sizes
