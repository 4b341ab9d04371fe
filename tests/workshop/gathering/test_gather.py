"""Records to facts: what holds now, who stands beside whom, and nothing private."""

import json
from dataclasses import replace
from datetime import date

import pytest
from canaries import MARK, private_fields, with_canaries
from smallshop import FILES, KEYS, NUMBERS, facts, frame, of

from passport.render.pages.data import setup_json
from passport.render.print.recipe import recipe
from passport.workshop.facts.facts import HandleFacts, MethodFacts, SiteFacts
from passport.workshop.gathering import gather
from passport.workshop.gathering.gather import public, site_facts


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The facts of the small workshop."""
    return facts(tmp_path_factory.mktemp("small"))


def test_parts_are_those_left_after_the_last_job(tmp_path):
    """What is on the frame is its build, plus what jobs fitted, less what they removed or renewed."""
    found = frame(
        tmp_path,
        """\
build:
  - {part: thin-overgrip, place: along the handle}
  - {part: lead-tape, place: 3 and 9, length: 40 mm}
jobs:
  - {date: 2026-01-05, fitted: {part: silicone, place: butt cap, mass: 3 g}}
  - date: 2026-02-05
    fitted:
      - {part: lead-tape, place: 10 and 2, length: 30 mm}
      - {part: thin-overgrip, place: along the handle}
    removed: {part: lead-tape, place: 9 and 3}
""",
    )
    held = {(p.name, p.place.text, p.mass, p.count, p.since) for p in found.parts}
    assert held == {
        ("Handle silicone", "butt cap", 3.0, 1, date(2026, 1, 5)),
        ("Lead tape", "10 and 2", 1.2, 2, date(2026, 2, 5)),  # 30 mm of 20 g/m on each side
        ("Thin overgrip", "along the handle", 5.0, 1, date(2026, 2, 5)),
    }


def test_without_jobs_the_build_holds(tmp_path):
    """A frame that has not been worked on yet carries what it came with, and no strings of ours."""
    found = frame(tmp_path, "build: {part: thin-overgrip, place: along the handle}\nsince: 2026-01-05\n")
    assert [p.name for p in found.parts] == ["Thin overgrip"]
    assert (found.stringing, found.jobs, found.due, found.updated) == (None, (), None, date(2026, 1, 5))


def test_the_last_stringing_holds(small):
    """The current strings are those of the last job that strung, with gauges from the catalogue."""
    bed = of(small, "ada/main").stringing
    assert (bed.date, bed.hybrid, bed.pieces, bed.knots) == (date(2026, 3, 2), True, 2, 4)
    assert (bed.mains.name, bed.mains.gauge, bed.mains.written) == ("Reed", 1.25, "24 kg")
    assert (bed.crosses.name, bed.crosses.gauge) == ("Flint", 1.2)
    assert bed.mains.tension == pytest.approx(24 * 9.80665)  # kgf, exact by definition
    assert (bed.stencil, bed.ink, bed.skips, bed.mains_start) == ("Ring", "red", "mains 8 throat", "")
    assert (bed.source("knots"), bed.source("skips"), bed.source("mains_start")) == ("worked out", "model", "absent")


def test_crosses_are_strung_like_the_mains_unless_said(small):
    """One string and tension for both is one entry in the record and the same on both sides of the facts."""
    bed = of(small, "ada/twin").stringing
    assert bed.same
    assert bed.mains == bed.crosses


def test_targets_and_tolerances(small):
    """A setup's own tolerance stands above the workshop's; a balance in points is worked out for the frame's length.

    4 points head light on 685 mm: 342.5 − 4 × 3.175 mm (a point is an eighth of an inch; common practice, no source).
    """
    specs = {s.quantity: s for s in of(small, "ada/main").specs}
    assert (specs["mass"].target, specs["mass"].tolerance) == (330, 2)
    assert (specs["balance"].target, specs["balance"].tolerance) == (pytest.approx(329.8), 2)
    assert (specs["swingweight"].target, specs["swingweight"].tolerance) == (318, 1.5)
    assert (specs["twistweight"].target, specs["twistweight"].tolerance) == (None, None)


def test_a_group_is_the_set_and_then_the_sport(small):
    """Frames in play stand together by their set, the others by their sport; frames out of play stand apart."""
    ada = next(p for p in small.players if p.name == "Ada")
    groups = [(g.name, g.matched, [f.label for f in g.frames]) for g in ada.groups]
    assert groups == [("pair", True, ["Main", "Twin"]), ("tennis", False, ["Fresh"])]
    assert {f.label for f in ada.out_of_use} == {"Torn", "Gone", "Done", "Split"}


def test_equality_is_the_spread_of_what_is_measured(small):
    """The spread is that of the frames' current figures; a figure that one frame lacks leaves nothing to compare."""
    ada = next(p for p in small.players if p.name == "Ada")
    found = {e.quantity: (e.values, e.spread, e.tolerance) for e in ada.groups[0].equality}
    main, twin = NUMBERS["main"], NUMBERS["twin"]
    assert found["mass"] == (((main, 331.1), (twin, 331.5)), pytest.approx(0.4), 1.0)
    assert found["swingweight"] == (((main, None), (twin, 319.0)), None, 1.5)


def test_successor_and_predecessor_point_at_each_other(small):
    """A replaced frame leads to its successor, and that one back; nobody else has either."""
    torn, fresh = of(small, "ada/torn"), of(small, "ada/fresh")
    assert (torn.successor.key, torn.successor.number) == (KEYS["fresh"], NUMBERS["fresh"])
    assert (fresh.predecessor.key, fresh.predecessor.number) == (KEYS["torn"], NUMBERS["torn"])
    others = [f for f in small.frames if f.name not in ("ada/torn", "ada/fresh")]
    assert not [f.name for f in others if f.successor or f.predecessor]


def test_a_frame_without_a_key_is_not_published(small):
    """A frame that has no key yet is in no fact at all."""
    assert "ada/new" not in {f.name for f in small.frames}
    assert not any(f.label == "New" for p in small.players for g in p.groups for f in g.frames)


def test_a_player_without_a_key_has_no_page(tmp_path):
    """A player who has no key yet has no page, but the frames have theirs."""
    found = facts(tmp_path, {"players/bo/player.yaml": "name: Bo\n"})
    assert [p.name for p in found.players] == ["Ada"]
    assert of(found, "bo/only").player_key == ""


def test_a_player_decides_what_is_shown(small):
    """Serial and history are left out of the facts where the player does not want them shown, the strings are not."""
    only = of(small, "bo/only")
    assert (only.serial, only.jobs) == ("", ())
    assert only.stringing.mains.name == "Flint"
    assert "BO-HISTORY" not in repr(small)
    assert of(small, "ada/main").serial == "TL-1"


def test_only_a_frame_in_play_is_due(small):
    """The strings of a broken frame are not due, those of the same player's frame in play are."""
    assert of(small, "ada/main").due == date(2026, 7, 1)  # 121 days, three times in 365
    assert of(small, "ada/split").stringing
    assert of(small, "ada/split").due is None
    assert of(small, "bo/only").due is None


def test_language_falls_back_to_the_workshops(tmp_path):
    """A player without a language is shown the workshop's; one whose language has no words is, too."""
    changes = {
        "workshop.yaml": FILES["workshop.yaml"] + "language: fr\n",
        "players/bo/player.yaml": f"name: Bo\nkey: {KEYS['bo']}\nlanguage: de\n",
    }
    found = facts(tmp_path, changes)
    assert (of(found, "bo/only").language, of(found, "ada/main").language) == ("de:fr", "fr")


def test_no_private_field_reaches_the_facts(demo_content):
    """With a canary in every private field of every record type, not one shows in the facts of the demo."""
    content, filled = with_canaries(demo_content)
    assert filled == private_fields(), "the demo lacks a record of some type, so its private fields went untested"
    assert len(filled) > 15
    assert MARK in repr(content.frames)
    made = site_facts(content)
    assert MARK not in repr(made)
    assert bare(made) == bare(site_facts(demo_content)), "what is private changes nothing that is shown"


def bare(facts: SiteFacts) -> SiteFacts:
    """Facts without the secrets of sealed passports, which seal files and stand in printed codes and are never shown."""
    return replace(facts, frames=tuple(replace(frame, secret="") for frame in facts.frames))


def test_what_is_public_has_no_way_back_to_the_records(demo_content):
    """The public content holds neither a private value nor the text that the records were read from."""
    content, _ = with_canaries(demo_content)
    cut = public(content)
    assert MARK not in repr(cut)
    tables = (cut.strings, cut.models, cut.parts, cut.players, cut.frames, cut.blanks)
    assert not [name for table in tables for name, entry in table.items() if entry.source.lines or entry.source.file]
    assert cut.workshop.source.lines == []


def test_facts_are_gathered_from_public_content_only(demo_content, monkeypatch):
    """What makes the facts of the site is handed the records with every private field already cut off."""
    given = []

    class Watched(gather.Gatherer):
        def __init__(self, content, *others):
            given.append(content)
            super().__init__(content, *others)

    monkeypatch.setattr(gather, "Gatherer", Watched)
    site_facts(with_canaries(demo_content)[0])
    assert len(given) == 1
    assert MARK not in repr(given[0])


def test_secrets_of_the_small_workshop_stay(small):
    """Nothing that stands in a private field of the small workshop is in its facts."""
    assert "SECRET" in "".join(FILES.values())
    assert "secret" not in repr(small).lower()


def test_demo_facts_agree_with_its_records(demo_content, demo_facts):
    """Every issued frame of the demo is in the facts, with the last job's date and the strings of its last stringing."""
    issued = {name: e.record for name, e in demo_content.frames.items() if e.record.key}
    assert {f.name for f in demo_facts.frames} == set(issued)
    for found in demo_facts.frames:
        jobs = issued[found.name].jobs
        assert found.updated == jobs[-1].date
        last = [job for job in jobs if job.strings][-1]
        assert found.stringing.date == last.date
        assert found.stringing.mains.string == last.strings.mains.string


def test_content_is_not_changed(demo_content):
    """Gathering facts leaves the records as they were."""
    before = replace(demo_content, frames=dict(demo_content.frames))
    site_facts(demo_content)
    assert repr(before) == repr(demo_content)


@pytest.mark.parametrize(
    ("twin", "verdict"),
    [("330.4 g", "inside"), ("333.0 g", "undecided"), ("336.0 g", "outside"), ("332.2 g", "inside")],
)
def test_equal_is_said_within_the_uncertainty(tmp_path, twin, verdict):
    """Two frames of a set, each to be within ± 1 g (so up to 2 g apart), on a scale that was never checked: what it is
    off is common to both and cancels, what each look scatters does not (JCGM 100, 5.2.2)."""
    read = "{{mass: {}, balance: 320 mm, swingweight: 318 kgcm2}}"
    job = "jobs: [{{date: 2026-11-20, strings: {{mains: {{string: reed-125, tension: 24 kg}}}}, readings: {}}}]\n"
    frames = {
        f"players/ada/{name}.yaml": f"number: {NUMBERS[name]}\nkey: {KEYS[name]}\nmodel: larch-98\nlabel: {name}\nset: pair\n"
        + job.format(read.format(mass))
        for name, mass in (("main", "331 g" if verdict == "undecided" else "330.4 g"), ("twin", twin))
    }
    pair = next(g for p in facts(tmp_path, frames).players for g in p.groups if g.name == "pair")
    mass = next(e for e in pair.equality if e.quantity == "mass")
    assert mass.verdict == verdict
    lone = next(
        g
        for p in facts(
            tmp_path / "lone", {path: text.replace("set: pair\n", "") for path, text in frames.items()}
        ).players
        for g in p.groups
    )
    assert {e.verdict for e in lone.equality} == {"open"}


def test_the_method_is_the_workshops_unless_the_job_says_otherwise(tmp_path):
    """From its day on the workshop's method is that of every job; what a job says itself stands above it."""
    usual = "method: {since: 2026-01-10, machine: constant pull, tie_offs: 10 %, dwell: 3 s}\n"
    own = "method: {machine: drop weight, start: starting knot}"
    jobs = "".join(
        f"  - {{date: {day}, strings: {{mains: {{string: reed-125, tension: 24 kg}}{more}}}}}\n"
        for day, more in (("2026-01-05", ""), ("2026-02-01", ""), ("2026-03-01", f", {own}"))
    )
    name = "players/ada/main.yaml"
    record = FILES[name].partition("jobs:\n")[0] + "jobs:\n" + jobs
    found = of(facts(tmp_path, {"workshop.yaml": FILES["workshop.yaml"] + usual, name: record}), "ada/main")
    first, second, third = (job.stringing for job in found.jobs)
    assert first.method == MethodFacts()
    assert second.method == MethodFacts(machine="constant pull", tie_offs=10.0, dwell=3.0)
    assert third.method == MethodFacts(machine="drop weight", tie_offs=10.0, dwell=3.0, start="starting knot")


def test_the_tension_heads_check_stands_beside_the_method(tmp_path):
    """The check in force on the day, nearest to the pull: what was set and what was pulled; of two heads nobody knows."""
    head = "  - {kind: tension head, name: Head, resolution: 0.1 lb, checks: [{date: 2026-02-10, known: 52.0 lb, reads: 52.4 lb}]}\n"
    text = FILES["workshop.yaml"].replace("instruments:\n", "instruments:\n" + head)
    found = of(facts(tmp_path / "one", {"workshop.yaml": text}), "ada/main")
    checks = [job.stringing.method.head for job in found.jobs if job.stringing]
    assert [job.date.isoformat() for job in found.jobs if job.stringing] == ["2026-01-05", "2026-03-02"]
    assert checks[0] is None
    # 1 lbf = 4.4482216152605 N (NIST SP 811, appendix B.8)
    assert (checks[1].day.isoformat(), checks[1].written) == ("2026-02-10", "52.4 lb")
    assert (checks[1].set, checks[1].pulled) == pytest.approx((52.4 * 4.4482216152605, 52 * 4.4482216152605))
    two = text.replace("instruments:\n", "instruments:\n" + head.replace("name: Head", "name: Other"))
    other = of(facts(tmp_path / "two", {"workshop.yaml": two}), "ada/main")
    assert all(job.stringing.method.head is None for job in other.jobs if job.stringing)


def test_the_unit_of_the_shop_is_shown_first(tmp_path):
    """Tensions are shown in the shop's unit first where it has said one, and else in the one that was recorded."""
    shop = FILES["workshop.yaml"]
    for units, first in (
        ("", ["24 kg", "52 lb"]),
        ("units: imperial\n", ["lb", "lb"]),
        ("units: metric\n", ["kg", "kg"]),
    ):
        site = facts(tmp_path / (units[7:10] or "none"), {"workshop.yaml": shop + units})
        beds = [of(site, name).stringing for name in ("ada/main", "ada/twin")]
        assert [bed.mains.written for bed in beds if bed] == first
        assert site.shop.tension_unit == (first[0] if units else "")


def test_the_handle_is_told_on_every_piece(tmp_path):
    """What was written down of a handle is in the facts, in the recipe and in the setup data; else there is nothing."""
    record = "build: {part: thin-overgrip, place: along the handle}\nhandle: {circumference: 112 mm, over: overgrip, sleeves: 2}\n"
    found = frame(tmp_path, record)
    assert found.handle == HandleFacts(112, "overgrip", sleeves=2)
    (row,) = [row for row in recipe(found).rows if row.label == "Handle"]
    assert "2 sleeves" in row.text
    assert json.loads(setup_json(found))["handle"] == {
        "circumference_mm": 112,
        "measured_over": "overgrip",
        "sleeves": 2,
    }
    bare = frame(tmp_path / "bare", "build: {part: thin-overgrip, place: along the handle}\n")
    assert bare.handle is None
    assert "handle" not in json.loads(setup_json(bare))
    assert "Handle" not in [row.label for row in recipe(bare).rows]


def test_tape_on_one_side_moves_the_middle_of_mass(tmp_path):
    """20 mm of 20 g/m at 3 only on a frame of 330 g: 0.4 g × its distance from the long axis over 330 g, towards 3."""
    record = (
        "build: {part: lead-tape, place: 3 only, length: 20 mm}\njobs:\n  - date: 2026-01-05\n"
        "    strings: {mains: {string: reed-125, tension: 24 kg}}\n    readings: {mass: 330 g}\n"
    )
    found = frame(tmp_path, record)
    (tape,) = found.parts
    assert (tape.mass, tape.count) == (0.4, 1)
    assert found.sideways == pytest.approx(0.4 * (248 + 11) / 2 / 330, rel=1e-2)
    assert json.loads(setup_json(found))["build"][0]["side"] == "right"
    other = frame(tmp_path / "other", record.replace("3 only", "9 only"))
    assert other.sideways == pytest.approx(-found.sideways)
    assert frame(tmp_path / "pair", record.replace("3 only", "3")).sideways is None


def test_a_balance_is_in_the_unit_of_the_shop_where_it_can_be(tmp_path):
    """Points need the frame's length: where nobody recorded it, the balance stays in mm."""
    shop = FILES["workshop.yaml"] + "units: {balance: points}\n"
    small = facts(tmp_path / "length", {"workshop.yaml": shop})
    assert of(small, "ada/main").balance_unit == "points"
    bare = FILES["catalogue/frames.yaml"].replace("  length: 685 mm\n", "")
    assert (
        of(facts(tmp_path / "none", {"workshop.yaml": shop, "catalogue/frames.yaml": bare}), "ada/main").balance_unit
        == ""
    )
    assert (
        of(
            facts(tmp_path / "mm", {"workshop.yaml": FILES["workshop.yaml"] + "units: metric\n"}), "ada/main"
        ).balance_unit
        == ""
    )


def test_a_players_unit_stands_above_the_shops(tmp_path):
    """What a player chose is first for the player, else what the shop chose; the tension itself stays as it was recorded."""
    shop, ada = FILES["workshop.yaml"], FILES["players/ada/player.yaml"]
    for i, (theirs, ours, first) in enumerate([("kg", "lb", "kg"), ("", "lb", "lb"), ("", "", "")]):
        files = {
            "workshop.yaml": shop + (f"units: {{tension: {ours}}}\n" if ours else ""),
            "players/ada/player.yaml": ada + (f"units: {theirs}\n" if theirs else ""),
        }
        site = facts(tmp_path / str(i), files)
        frame = of(site, "ada/main")
        assert frame.units == first == next(p for p in site.players if p.key == frame.player_key).units
        assert frame.stringing.mains.tension == pytest.approx(24 * 9.80665)  # ISO 80000-4
