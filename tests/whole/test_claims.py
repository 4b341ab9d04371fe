"""Nothing is said that was not recorded: every state of a frame on every piece, each claim held against the plain data."""

import io
import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
import smallshop
import yaml
from claims import CLAIMS, Known, amounts, same_within, strangers, unfounded
from commandline import passport
from htmlread import Page
from places import DEMO, SUPPORT

from passport.records.load import load
from passport.render.pages.calendar import restring_reminder
from passport.render.pages.data import setup_json
from passport.render.pages.pages import Pages
from passport.render.print.card import card_piece
from passport.render.print.recipe import recipe
from passport.render.print.setcard import set_pieces
from passport.render.print.sticker import sticker_piece, wrap_piece
from passport.render.print.tag import tag_piece
from passport.render.sheets.day import Racked, day_pdf
from passport.render.theme.assets import templates
from passport.workshop.facts.standing import ERASED, TONES, standing
from passport.workshop.gathering.gather import gatherer_of

SECOND = SUPPORT / "second"
TODAY = smallshop.TODAY
STRUNG = "strings: {mains: {string: reed-125, tension: 24 kg}}"
READ = "readings: {mass: 330.2 g, balance: 320 mm, swingweight: 318 kgcm2}"
SETUP = "setup: {mass: 330 g ± 2 g, swingweight: 318 kgcm2 ± 12 kgcm2}"
STATES = {
    "fresh": f"jobs: [{{date: 2026-11-20, {STRUNG}}}]",
    "due soon": f"jobs: [{{date: 2026-07-01, {STRUNG}}}]",
    "overdue": f"jobs: [{{date: 2025-09-01, {STRUNG}}}]",
    "strung": f"jobs: [{{date: 2025-09-01, {STRUNG}}}]",
    "unstrung": "status: active",
    "never measured": f"{SETUP}\njobs: [{{date: 2026-11-20, {STRUNG}}}]",
    "inside": f"{SETUP}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "undecided": f"setup: {{mass: 330 g ± 0.3 g}}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "outside": f"setup: {{mass: 300 g ± 1 g}}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "broken": f"status: broken\n{SETUP}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "lost": f"status: lost\n{SETUP}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "retired": f"status: retired\n{SETUP}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "sealed": f"sealed: yes\nsecret: {'7' * 32}\n{SETUP}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "everything": (
        "status: active\n"
        f"{SETUP}\nbuild: [{{part: lead-tape, place: 3 and 9, length: 40 mm, mass: 1.6 g}}]\njobs:\n"
        "  - date: 2026-11-20\n    strings: {mains: {string: reed-125, tension: 24 kg, prestretch: 10 %}, "
        "crosses: {string: flint-120, tension: 23 kg}, mains_start: throat, crosses_start: head, pieces: 2}\n    "
        f"{READ}"
    ),
    "nothing fitted": f"build: []\njobs: [{{date: 2026-11-20, {STRUNG}}}]",
    "unknown on purpose": (
        "jobs: [{date: 2026-11-20, strings: {mains: {string: reed-125, tension: 24 kg}, pieces: unknown, knots: unknown, "
        "mains_start: unknown, crosses_start: unknown}}]"
    ),
    "points": f"setup: {{balance: 7.2 pt HL ± 2 mm}}\njobs: [{{date: 2026-11-20, {STRUNG}, readings: {{balance: 7.0 pt HL}}}}]",
    "four things": f"{SETUP}\njobs: [{{date: 2026-11-20, {STRUNG}, {READ}}}]",
    "gauge number": f"jobs: [{{date: 2026-11-20, {STRUNG}}}]",
    "bare only": "jobs: [{date: 2026-11-20, readings: {when: before, state: bare, mass: 310.5 g}}]",
    "waiting": f"rack: New grip\njobs: [{{date: 2026-11-20, {STRUNG}}}]",
    "two tensions": (
        "jobs: [{date: 2026-11-20, strings: {mains: {string: reed-125, tension: 24 kg}, crosses: {string: reed-125, "
        "tension: 51 lb}}, readings: {ring: 612 Hz, age: 20 min}}]"
    ),
}
"""What the record of a frame says beside its number, key, model and label."""
LEAST = "larch-98: {maker: Tarn, name: Larch 98, sport: tennis, head: 98 sq in}\n"
CATALOGUE = {
    "points": {"catalogue/frames.yaml": LEAST},
    "four things": {"catalogue/frames.yaml": LEAST},
    "gauge number": {
        "catalogue/strings.yaml": smallshop.FILES["catalogue/strings.yaml"].replace("gauge: 1.25 mm", "gauge: 17", 1)
    },
}
"""What the catalogue says in some states."""
USUAL_TOLERANCES = {"mass": "1 g", "balance": "2 mm", "swingweight": "1.5 kgcm2", "twistweight": "0.5 kgcm2"}
"""Those of a workshop that sets none, as README has them."""
WEEKLY = ("fresh", "due soon", "overdue")
"""The states of whom somebody noted how often they play."""


def _files(state: str) -> dict[str, str]:
    weekly = "plays_a_week: 2\n" if state in WEEKLY else ""
    head = f"number: {smallshop.NUMBERS['main']}\nkey: {smallshop.KEYS['main']}\nmodel: larch-98\nlabel: Main\n"
    gone = {name: None for name in smallshop.FILES if name.startswith(("players/", "blanks/"))}
    player = f"name: Ada\nkey: {smallshop.KEYS['ada']}\n{weekly}"
    return {
        **gone,
        "players/ada/player.yaml": player,
        "players/ada/main.yaml": f"{head}{STATES[state]}\n",
        **CATALOGUE.get(state, {}),
    }


def _shop(folder: Path, state: str) -> Path:
    """A workshop with one frame, in a state."""
    smallshop.write(folder, _files(state))
    for emptied in (folder / "players").iterdir():
        if not any(emptied.iterdir()):
            emptied.rmdir()
    return folder


def _made(folder: Path, names: list[str] | None = None):
    """The facts of a folder's frames, in English, and the shop."""
    content, faults = load(folder)
    assert not [fault for fault in faults if fault.severity == "error"], faults
    gatherer = gatherer_of(content)
    frames = [gatherer.frame(name) for name in names or content.frames if content.frames[name].record.key]
    return gatherer, [replace(frame, language="en") for frame in frames]


def _pdf(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def _pieces(folder: Path, gatherer, frame) -> dict[str, str]:
    """Every piece of a frame: its words, and its markup where that is what claims."""
    pages = Pages(gatherer.shop, (), (templates(),))
    html = (pages.sealed("k", "b") if frame.sealed else pages.frame(frame, {"setup": "setup.json"})).decode()
    (player,) = (p for p in gatherer.players((frame,)) if p.key and p.key == frame.player_key)
    pieces = {
        "page": Page(html).words + html.partition("<main")[2],
        "player page": Page(pages.player(replace(player, language="en")).decode()).words,
        "JSON": setup_json(frame).decode(),
        "day sheet": _pdf(day_pdf(gatherer.shop, TODAY, [Racked(frame, "Ada", "", "")], ())),
    }
    if standing(frame).closed and not frame.sealed:
        pieces["notice"] = Page(pages.notice(frame).decode()).words
    if frame.due and standing(frame).in_play:
        pieces["reminder"] = restring_reminder(frame, gatherer.shop).decode()
    if not standing(frame).closed:
        pieces["sticker"] = "".join(sticker_piece(frame, gatherer.shop).sides)
        pieces["wrap"] = "".join(wrap_piece(frame, gatherer.shop).sides)
        pieces["recipe"] = recipe(frame).plain
        pieces["card"] = "".join(card_piece(frame, gatherer.shop).sides)
        pieces["tag"] = "".join(tag_piece(frame, gatherer.shop).sides)
    for group in player.groups:
        pieces["set card"] = "".join(side for piece in set_pieces(player, group, gatherer.shop) for side in piece.sides)
    pieces["terminal"] = passport("show", folder, frame.number).stdout
    pieces["due list"] = passport("due", folder, "--all").stdout
    pieces["find"] = passport("find", folder, frame.number).stdout
    return {
        name: re.sub(r"<script.*?</script>|(?:data-[a-z]+|style)=\"[^\"]*\"", "", piece)
        for name, piece in pieces.items()
    }


def _known(folder: Path, name: str, state: str) -> Known:
    def read(path: str):
        return yaml.safe_load((folder / path).read_text(encoding="utf-8"))

    frame = yaml.load((folder / f"players/{name}.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)
    for job in frame.get("jobs") or ():
        for key in ("readings", "fitted"):
            if isinstance(job.get(key), dict):
                job[key] = [job[key]]
    model, parts = read("catalogue/frames.yaml")[frame["model"]], read("catalogue/parts.yaml")
    player = read(f"players/{name.partition('/')[0]}/player.yaml")
    tolerances = read("workshop.yaml").get("tolerances") or {}
    plain = {name: amounts(tolerances.get(name, usual))[0][1] for name, usual in USUAL_TOLERANCES.items()}
    tools = read("workshop.yaml").get("instruments") or ()
    checked, strings = any(tool.get("checks") for tool in tools), read("catalogue/strings.yaml")
    return Known(frame, model, player, parts, state, strings, plain, float(checked), same_within(tools))


def test_every_state_on_every_piece(tmp_path, record_property):
    """No piece of a frame in any state makes a claim that its plain records do not bear out."""
    found, walked, figures = [], 0, 0
    for state in STATES:
        folder = _shop(tmp_path / state.replace(" ", "-"), state)
        gatherer, (frame,) = _made(folder)
        known = _known(folder, "ada/main", state)
        for piece, words in _pieces(folder, gatherer, frame).items():
            walked += 1
            # what is printed or shown at the bench is behind the seal
            inside = replace(known, state="") if state == "sealed" and piece != "page" else known
            found += [f"{state}, {piece}: {claim}" for claim in unfounded(words, inside)]
            found += [f"{state}, {piece}: a figure of no record: {figure}" for figure in strangers(words, inside)]
            figures += len(amounts(words))
    asked = f"{walked * len(CLAIMS)} claims asked for, {figures} figures held against the records"
    record_property("counted", f"{len(STATES)} states, {walked} pieces, {asked}")
    assert not found, "\n".join(found)


def test_the_judge_sees_a_wrong_claim(tmp_path, record_property):
    """Each piece of one state is held against the records of another: what differs is found, or the judge is blind."""
    pairs = [
        ("inside", "outside"), ("outside", "inside"), ("undecided", "never measured"), ("broken", "inside"),
        ("everything", "fresh"), ("two tensions", "strung"), ("overdue", "unstrung"), ("points", "four things"),
    ]  # fmt: skip
    seen = {}
    for shown, told in pairs:
        gatherer, (frame,) = _made(_shop(tmp_path / f"{shown} {told}", shown))
        other = _known(_shop(tmp_path / f"{told} for {shown}", told), "ada/main", told)
        pieces = _pieces(tmp_path / f"{shown} {told}", gatherer, frame)
        seen[shown, told] = {p for p, words in pieces.items() if unfounded(words, other) or strangers(words, other)}
    record_property(
        "counted", "wrong claims seen: " + "; ".join(f"{a} as {b} on {len(p)}" for (a, b), p in seen.items())
    )
    assert all("page" in pieces and len(pieces) > 1 for pieces in seen.values()), seen


def test_an_erased_address_claims_nothing(tmp_path):
    """The page of a closed address bears no claim at all."""
    gatherer, _ = _made(_shop(tmp_path, "everything"))
    words = Page(Pages(gatherer.shop, (), (templates(),)).closed().decode()).words
    nothing = Known({}, {}, {}, {}, "erased")
    assert not unfounded(words, nothing) and not strangers(words, nothing)


@pytest.mark.parametrize("folder", [SECOND, DEMO], ids=["second workshop", "demo"])
def test_no_workshop_claims_what_is_not_in_its_records(folder, record_property):
    """The demo and the second workshop make no claim that is not in their records."""
    gatherer, frames = _made(folder)
    found, figures = [], 0
    for frame in frames:
        known = _known(folder, frame.name, "")
        for piece in (
            "recipe",
            "card",
        ):  # plain facts alone: what is worked out stands on the page with what it rests on
            words = _quick(gatherer, frame).get(piece, "")
            found += [f"{frame.name}, {piece}: a figure of no record: {figure}" for figure in strangers(words, known)]
            figures += len(amounts(re.sub("<[^>]*>", " ", words)))
        found += [
            f"{frame.name}, {piece}: {claim}"
            for piece, words in _quick(gatherer, frame).items()
            for claim in unfounded(words, known)
            if not claim.startswith(("a due day", "lively strings")) or not _told_by_readings(frame)
        ]
    what = f"{folder.name}: {len(frames)} frames, {figures} figures of recipes and cards held against the records"
    record_property("counted", what)
    assert not found, "\n".join(found)


def _told_by_readings(frame) -> bool:
    """Whether the day that strings are due is worked out from readings or hours played."""
    return frame.restring is not None and frame.restring.first.kind != "plays"


def _quick(gatherer, frame) -> dict[str, str]:
    """The pieces that are made fast: page, recipe, JSON, and the markup of the card."""
    pages = Pages(gatherer.shop, (), (templates(),))
    html = pages.frame(frame, {"setup": "setup.json"}).decode()
    if standing(frame).closed or frame.successor:
        return {"page": Page(html).words}
    card = "".join(card_piece(frame, gatherer.shop).sides)
    return {"page": Page(html).words, "recipe": recipe(frame).plain, "card": card, "JSON": setup_json(frame).decode()}


@pytest.mark.parametrize(
    ("state", "wanted", "tone"),
    [
        ("fresh", "fresh", "lively"), ("due soon", "due soon", "soon"), ("overdue", "overdue", "late"),
        ("strung", "strung", "plain"), ("unstrung", "unstrung", "plain"), ("never measured", "strung", "plain"),
        ("undecided", "strung", "plain"), ("broken", "broken", "stop"), ("lost", "lost", "stop"),
        ("retired", "retired", "plain"), ("sealed", "strung", "plain"),
    ],
)  # fmt: skip
def test_one_state_one_look(tmp_path, state, wanted, tone):
    """A frame is one thing on a day, and looks like that; what is out of play is never judged or alive."""
    _, (frame,) = _made(_shop(tmp_path, state))
    found = standing(frame, TODAY)
    assert (found.state, found.tone) == (wanted, tone)
    assert not found.verdicts or found.in_play
    assert (found.judged == "never measured") == (not any(s.value is not None for s in frame.specs))


def test_judged_by_the_least_good_figure(tmp_path):
    """Undecided, inside and outside are what the figures are, whatever else the frame is."""
    for state in ("inside", "undecided", "outside", "never measured"):
        _, (frame,) = _made(_shop(tmp_path / state.replace(" ", "-"), state))
        assert standing(frame, TODAY).judged == state


def test_outside_a_seal_nothing_is_known(tmp_path):
    """Whoever has not the secret learns that a page is sealed; at an erased address nothing is left."""
    _, (frame,) = _made(_shop(tmp_path, "sealed"))
    assert standing(frame, TODAY, outside=True).closed and ERASED.closed
    assert not standing(frame, TODAY, outside=True).strings_drawn
    assert [state for state, tone in TONES.items() if tone == "lively"] == ["fresh"]


def test_json_says_where_what_is_not_recorded_comes_from(tmp_path):
    """Null or left out where nobody knows; a source where it is the maker's or follows from something."""
    _, (frame,) = _made(_shop(tmp_path, "unknown on purpose"))
    found = json.loads(setup_json(frame))
    assert not {"pieces", "knots", "mains_start"} & set(found["strings"])
    assert found["strings"]["mains"]["prestretch_percent"] is None and found["build"] is None
    assert found["strings"]["source"] == {"skips": "model"}
    _, (frame,) = _made(_shop(tmp_path / "all", "everything"))
    found = json.loads(setup_json(frame))
    assert (found["strings"]["pieces"], found["strings"]["knots"]) == (2, 4)
    assert found["strings"]["source"] == {"knots": "worked out", "skips": "model"}


def test_a_blank_of_unknown_state_is_in_no_plan():
    """A blank that was weighed nobody knows how is warned of, and nothing is worked out from it."""
    found = passport("check", SECOND)
    assert "no-state" in found.stderr and "aubier-nue.yaml" in found.stderr
    plan = passport("rebuild", SECOND, "2006-1", "--with", "aubier-nue", "--no-sheet")
    assert plan.exit_code == 1 and "Was aubier-nue strung or bare when its mass" in plan.output
    assert "passport correct CONTENT aubier-nue --blank --reading 1 --set state=bare" in plan.output


def test_two_of_one_name_are_told_apart():
    """Two players of one name with frames of one label keep their own records, pages and numbers."""
    gatherer, frames = _made(SECOND, ["marchand/un", "marchand-2/un"])
    one, other = frames
    assert (one.player, one.label) == (other.player, other.label)
    assert (one.key, one.number, one.sport) != (other.key, other.number, other.sport)
    assert passport("show", SECOND, "Un").exit_code == 1
    assert date(2026, 10, 2) == one.stringing.date != other.stringing.date
    assert gatherer.shop.language == "fr"
