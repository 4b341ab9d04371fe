"""A workshop with a broken frame, blanks and a small stock, written to a folder, for tests of rebuilding and matching."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from passport.records.load import Content, load
from passport.workshop.rebuild.subject import Workbench

TODAY = date(2026, 11, 25)

SCALE = (
    "instruments:\n  - {kind: scale, name: S, resolution: 0.1 g, checks: "
    "[{date: 2026-01-05, known: 200.0 g, reads: 200.8 g}]}\n"
    "  - {kind: balance board, name: B, resolution: 0.5 mm, checks: "
    "[{date: 2026-01-05, known: 350.0 mm, reads: 350.0 mm}]}\n"
    "  - {kind: swing machine, name: M, resolution: 0.5 kgcm2, checks: "
    "[{date: 2026-01-05, known: 285.4 kgcm2, reads: 285.4 kgcm2}]}\n"
)
WORKSHOP = """\
name: Bench Nine
address: https://cards.bench-nine.example
tolerances: {mass: 1 g, balance: 2 mm, swingweight: 1.5 kgcm2, twistweight: 0.5 kgcm2}
"""
STRINGS = """\
reed-125: {maker: Oxbow, name: Reed, material: nylon, gauge: 1.25 mm, weighed: 1.40 g/m}
flint-120: {maker: Oxbow, name: Flint, material: polyester, gauge: 1.20 mm}
mystery: {maker: Oxbow, name: Mystery, material: other, gauge: 1.20 mm}
"""
PLACES = """\
    - {place: under the bumper, most: 3 g, length: 150 mm}
    - {place: 3 and 9, most: 5 g, length: 120 mm}
    - {place: inside the handle, most: 12 g}
"""
MODELS = """\
larch-98:
  maker: Alder
  name: Larch 98
  sport: tennis
  length: 685.8 mm
  head: {{length: 330 mm, width: 246 mm}}
  rim: 12 mm
  handle: {{length: 180 mm, width: 32 mm}}
  pattern: {{mains: 16, crosses: 19, main_spacing: 12.6 mm, cross_spacing: 14.6 mm}}
  tension: {{high: 57 lb}}
  places:
{places}
wren-5:
  maker: Alder
  name: Wren 5
  sport: badminton
  length: 675 mm
  head: {{length: 244 mm, width: 188 mm}}
  rim: 9 mm
  handle: {{length: 175 mm, width: 24 mm}}
  throat: shaft
  pattern: {{mains: 22, crosses: 21}}
"""
PARTS = """\
tungsten-tape: {kind: tape, name: Tungsten tape, material: tungsten, per_length: 0.20 g/cm}
lead-tape: {kind: tape, name: Lead tape, material: lead, per_length: 0.16 g/cm, stock: none left}
silicone: {kind: silicone, name: Silicone, step: 0.5 g}
putty: {kind: putty, name: Trial putty, step: 0.1 g}
leather: {kind: base grip, name: Leather grip, mass: 25 g, removable: yes}
cushion: {kind: base grip, name: Cushion grip, mass: 14 g, removable: yes}
overgrip: {kind: overgrip, name: Overgrip, mass: 5 g, removable: yes}
thin-overgrip: {kind: overgrip, name: Thin overgrip, mass: 3.6 g, removable: yes}
sleeve: {kind: sleeve, name: Sleeve, mass: 4.2 g, covers: 155 mm}
cap: {kind: butt cap, name: Butt cap, mass: 7.5 g}
unweighed: {kind: other, name: Odd thing}
"""
SETUP = """\
setup:
  mass: 330 g ± 1 g
  balance: 320 mm ± 1.5 mm
  swingweight: 318 ± 1.5 kgcm2
"""
MAIN = """\
number: 1001-5
key: MMMMMMMMMMMMMMMMMMMMMMMMMM
model: larch-98
label: Main
status: broken
{setup}
build:
{build}
jobs:
  - date: 2026-03-02
    strings: {{mains: {{string: reed-125, tension: 24 kg}}}}
    fitted:
      - {{part: overgrip, place: along the handle}}
    readings: [{readings}]
"""
BLANK = """\
model: larch-98
received: 2026-06-01
build:
  - {{part: cushion, place: along the handle}}
readings:
  - {{state: bare, {figures}}}
"""
NEAR = "mass: 303 g, balance: 318 mm, swingweight: 288 kgcm2"
HEAVY_HEAD = "mass: 303 g, balance: 330 mm, swingweight: 310 kgcm2"


def files(
    blanks: Mapping[str, str] | None = None,
    *,
    setup: str = SETUP,
    build: tuple[str, ...] = ("cushion",),
    readings: str = "",
    places: str = PLACES,
    parts: str = PARTS,
    workshop: str = WORKSHOP,
    frames: Mapping[str, str] | None = None,
) -> dict[str, str]:
    """The files of the workshop by name; ``blanks`` name the figures of their one reading, or a whole record."""
    on = "\n".join(f"  - {{part: {part}, place: along the handle}}" for part in build)
    stock = {"near": NEAR} if blanks is None else blanks
    written = {
        "workshop.yaml": workshop,
        "catalogue/strings.yaml": STRINGS,
        "catalogue/frames.yaml": MODELS.format(places=places),
        "catalogue/parts.yaml": parts,
        "players/ada/player.yaml": "name: Ada\nkey: AAAAAAAAAAAAAAAAAAAAAAAAAA\n",
        "players/ada/main.yaml": MAIN.format(setup=setup, build=on, readings=readings),
    }
    written |= {
        f"blanks/{name}.yaml": text if "\n" in text else BLANK.format(figures=text) for name, text in stock.items()
    }
    return written | {f"players/ada/{name}.yaml": text for name, text in (frames or {}).items()}


def shop(root: Path, blanks: Mapping[str, str] | None = None, **changes: object) -> Content:
    """The workshop written below ``root`` and read again; its records must be readable."""
    for name, text in files(blanks, **changes).items():  # type: ignore[arg-type]
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    content, faults = load(root)
    assert not faults, [fault.text() for fault in faults]
    return content


def bench(root: Path, blanks: Mapping[str, str] | None = None, **changes: object) -> Workbench:
    """A workbench with the records of the workshop."""
    return Workbench(shop(root, blanks, **changes), TODAY)


def strung_frame(label: str, figures: str, extra: str = "") -> str:
    """An active frame that was measured as it is played."""
    head = f"model: larch-98\nlabel: {label}\nbuild:\n  - {{part: cushion, place: along the handle}}\n"
    job = "jobs:\n  - date: 2026-03-02\n    strings: {mains: {string: reed-125, tension: 24 kg}}\n"
    return f"{head}{job}    readings: [{{{figures}}}]\n{extra}"
