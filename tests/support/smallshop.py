"""A small valid workshop with every kind of frame, written to a folder, for tests that change one thing about it."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from passport.records import checks
from passport.records.faults import Fault
from passport.records.load import Content, load
from passport.records.schema.numbers import with_check
from passport.workshop.facts.facts import FrameFacts, SiteFacts
from passport.workshop.gathering.gather import site_facts

TODAY = date(2026, 11, 25)
KEYS = {name: letter * 26 for name, letter in zip(
    ("ada", "bo", "main", "twin", "torn", "fresh", "gone", "done", "split", "only"), "ABMTWFGDSY", strict=True
)}  # fmt: skip
NUMBERS = {name: with_check(2001 + i) for i, name in enumerate(list(KEYS)[2:])}


def _frame(name: str, rest: str) -> str:
    return f"number: {NUMBERS[name]}\nkey: {KEYS[name]}\n{rest}"


FILES: dict[str, str] = {
    "workshop.yaml": """\
name: Bench Nine & Daughters
tagline: Strung by hand.
address: https://cards.bench-nine.example/p
contact: {email: hello@bench-nine.example, phone: 01632 960001, visit: 9 Weir Lane, hours: Tuesday to Friday}
tolerances: {mass: 1 g, balance: 2 mm, swingweight: 1.5 kgcm2, twistweight: 0.5 kgcm2}
instruments:
  - {kind: scale, name: Letter scale, resolution: 0.1 g, serial: SECRET-SCALE}
private_note: SECRET-SHOP
""",
    "catalogue/strings.yaml": """\
reed-125: {maker: Oxbow, name: Reed, material: nylon, gauge: 1.25 mm, weighed: 1.42 g/m, price: SECRET-PRICE}
flint-120: {maker: Oxbow, name: Flint, material: polyester, gauge: 1.20 mm, weighed: 1.56 g/m}
""",
    "catalogue/frames.yaml": """\
larch-98:
  maker: Tarn
  name: Larch 98
  sport: tennis
  length: 685 mm
  head: {length: 330 mm, width: 248 mm}
  rim: 11 mm
  handle: {length: 200 mm, width: 31 mm}
  pattern: {mains: 16, crosses: 19, skips: mains 8 throat}
  tension: {low: 20 kg, high: 26 kg}
""",
    "catalogue/parts.yaml": """\
lead-tape: {kind: tape, name: Lead tape, material: lead, per_length: 20 g/m}
thin-overgrip: {kind: overgrip, name: Thin overgrip, mass: 5 g}
silicone: {kind: silicone, name: Handle silicone}
""",
    "players/ada/player.yaml": f"""\
name: Ada
full_name: SECRET-FULL-NAME
contact: {{email: secret-mail@ada.example, phone: SECRET-PHONE 01632 960777, address: SECRET-ADDRESS}}
key: {KEYS["ada"]}
plays_a_week: 3
private_note: SECRET-PLAYER
""",
    "players/ada/main.yaml": _frame(
        "main",
        """\
model: larch-98
label: Main
serial: TL-1
set: pair
grip: L3
since: 2026-01-05
setup: {mass: 330 ± 2 g, balance: 4 pt HL ± 2 mm, swingweight: 318 kgcm2}
build:
  - {part: thin-overgrip, place: along the handle}
jobs:
  - date: 2026-01-05
    strings:
      mains: {string: reed-125, tension: 24 kg}
    fitted: {part: lead-tape, place: 3 and 9, length: 20 mm}
    readings:
      - {when: before, state: bare, mass: 310 g, balance: 325 mm, swingweight: 290 kgcm2, note: SECRET-READING}
      - {mass: 330.5 g, balance: 329 mm, swingweight: 318.5 kgcm2, ring: 580 Hz, age: 15 min}
    private_note: SECRET-JOB
    price: SECRET-JOB-PRICE
  - date: 2026-03-02
    strings:
      mains: {string: reed-125, tension: 24 kg}
      crosses: {string: flint-120, tension: 23 kg}
      pieces: 2
    stencil: {shape: Ring, ink: red}
    readings:
      - {when: before, ring: 541 Hz, age: 56 d}
      - {mass: 331.1 g, ring: 585 Hz, age: 15 min}
    note: Said to the player.
  - date: 2026-04-02
    readings:
      - {ring: 560 Hz, age: 31 d}
private_note: SECRET-FRAME
""",
    ),
    "players/ada/twin.yaml": _frame(
        "twin",
        """\
model: larch-98
label: Twin
set: pair
jobs:
  - date: 2026-03-02
    strings: {mains: {string: reed-125, tension: 52 lb}}
    readings: {mass: 331.5 g, balance: 329.5 mm, swingweight: 319 kgcm2}
""",
    ),
    "players/ada/torn.yaml": _frame(
        "torn", f"model: larch-98\nlabel: Torn\nserial: TL-TORN\nstatus: broken\nreplaced_by: {NUMBERS['fresh']}\n"
    ),
    "players/ada/fresh.yaml": _frame("fresh", "model: larch-98\nlabel: Fresh\n"),
    "players/ada/gone.yaml": _frame("gone", "model: larch-98\nlabel: Gone\nserial: TL-GONE\nstatus: lost\n"),
    "players/ada/done.yaml": _frame("done", "model: larch-98\nlabel: Done\nserial: TL-DONE\nstatus: retired\n"),
    "players/ada/split.yaml": _frame(
        "split",
        """\
model: larch-98
label: Split
status: broken
jobs:
  - {date: 2026-02-02, strings: {mains: {string: reed-125, tension: 52 lb}}}
""",
    ),
    "players/ada/new.yaml": "model: larch-98   # on the rack\nlabel: New\n",
    "players/bo/player.yaml": f"name: Bo\nkey: {KEYS['bo']}\nshows: {{history: no, serial: no}}\n",
    "players/bo/only.yaml": _frame(
        "only",
        """\
model: larch-98
label: Only
serial: TL-BO
jobs:
  - {date: 2026-05-01, strings: {mains: {string: flint-120, tension: 50 lb}}, note: BO-HISTORY}
""",
    ),
    "blanks/larch-a.yaml": "model: larch-98\nserial: TL-BLANK\nlocation: SECRET-PLACE\nprice: SECRET-BLANK-PRICE\n",
    "pages/home.md": "# Welcome\n\nBench text.\n",
    "pages/care.md": "# Care of strings\n\nKeep them dry. Then more.\n",
}
"""The files of the workshop; ``SECRET-…`` stands in private fields only."""


def write(root: Path, changes: Mapping[str, str | None] | None = None) -> Path:
    """Write the workshop below ``root``; ``changes`` replace or add files, or leave them out where None."""
    for name, text in {**FILES, **(changes or {})}.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if text is not None:
            path.write_text(text, encoding="utf-8")
    return root


def read(root: Path, changes: Mapping[str, str | None] | None = None) -> tuple[Content, list[Fault]]:
    """The workshop with ``changes``, read and checked."""
    content, faults = load(write(root, changes))
    return content, [*faults, *checks.run(content, TODAY)]


def facts(root: Path, changes: Mapping[str, str | None] | None = None) -> SiteFacts:
    """The facts of the workshop with ``changes``, which must be free of errors."""
    content, faults = read(root, changes)
    errors = [fault.text() for fault in faults if fault.severity == "error"]
    assert not errors, "\n".join(errors)
    return site_facts(content)


def frame(root: Path, text: str, name: str = "main") -> FrameFacts:
    """The facts of one frame of Ada's whose record goes on with ``text`` after number, key, model and label."""
    changes = {f"players/ada/{name}.yaml": _frame(name, f"model: larch-98\nlabel: Main\n{text}")}
    return of(facts(root, changes), f"ada/{name}")


def of(site: SiteFacts, name: str) -> FrameFacts:
    """The frame of that name among the facts."""
    return next(f for f in site.frames if f.name == name)
