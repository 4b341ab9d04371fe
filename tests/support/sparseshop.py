"""A second workshop with sparse records, in German and metric: a lost badminton frame known by mass and balance, a squash
frame whose model is no longer made, models without places, strings that nobody weighed."""

from pathlib import Path

WORKSHOP = "name: Saitenwerk am Kanal\naddress: https://paesse.saitenwerk.example\nlanguage: de\nunits: metric\n"
STRINGS = """\
kiesel-68: {maker: Lohbach, name: Kiesel 0.68, material: nylon, gauge: 0.68 mm}
tor-120: {maker: Lohbach, name: Tor 1.20, material: nylon, gauge: 1.20 mm}
"""
MODELS = """\
wiesel-7:
  {maker: Vennhoff, name: Wiesel 7, sport: badminton, head: {length: 244 mm, width: 188 mm}, pattern: 22x21}
segler-130:
  {maker: Vennhoff, name: Segler 130, sport: squash, length: 686 mm, head: {length: 340 mm, width: 200 mm, form: teardrop},
   pattern: 14x18, tension: 9-13 kg}
segler-130-ii:
  {maker: Vennhoff, name: Segler 130 II, sport: squash, length: 683 mm, head: {length: 330 mm, width: 205 mm, form: teardrop},
   pattern: 16x17, tension: 8-13 kg}
"""
PARTS = """\
wolfram: {kind: tape, name: Wolframband, material: tungsten, per_length: 0.12 g/cm}
silikon: {kind: silicone, name: Silikon, step: 0.5 g}
griff: {kind: overgrip, name: Griffband, mass: 5 g, removable: yes}
"""
ROT = """\
number: 1001-5
key: RRRRRRRRRRRRRRRRRRRRRRRRRR
model: wiesel-7
label: Rot
status: lost
jobs:
  - date: 2026-05-04
    strings: {mains: {string: kiesel-68, tension: 11.5 kg}}
    fitted: [{part: griff, place: along the handle}]
    readings: [{mass: 93.6 g, balance: 293 mm}]
"""
EINS = """\
number: 1002-3
key: EEEEEEEEEEEEEEEEEEEEEEEEEE
model: segler-130
label: Eins
status: broken
jobs:
  - date: 2026-05-04
    strings: {mains: {string: tor-120, tension: 12 kg}, crosses: {string: tor-120, tension: 11.5 kg}, path: two pieces}
    fitted: [{part: griff, place: along the handle}]
    readings: [{mass: 150 g, balance: 351 mm, swingweight: 147 kgcm2}]
"""
WIESEL = "model: wiesel-7\nreceived: 2026-11-01\nreadings: [{%smass: 79.8 g, balance: 286 mm}]\n"
SEGLER = """\
model: segler-130-ii
received: 2026-11-01
readings: [{state: bare, mass: 130 g, balance: 346 mm, swingweight: 119 kgcm2}]
"""


def sparse_shop(root: Path, *, state: str = "state: bare, ", **files: str) -> Path:
    """The workshop written below ``root``; ``state`` of the badminton blank's reading, more ``files`` by their path."""
    written = {
        "workshop.yaml": WORKSHOP,
        "catalogue/strings.yaml": STRINGS,
        "catalogue/frames.yaml": MODELS,
        "catalogue/parts.yaml": PARTS,
        "players/brandt/player.yaml": "name: Brandt\nkey: BBBBBBBBBBBBBBBBBBBBBBBBBB\nlanguage: de\n",
        "players/brandt/rot.yaml": ROT,
        "players/okoro/player.yaml": "name: Okoro\nkey: QQQQQQQQQQQQQQQQQQQQQQQQQQ\n",
        "players/okoro/eins.yaml": EINS,
        "blanks/wiesel-neu.yaml": WIESEL % state,
        "blanks/segler-neu.yaml": SEGLER,
    } | files
    for name, text in written.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root
