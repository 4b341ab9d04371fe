"""A third workshop: in Cairo, in Arabic and metric, for tennis, squash and badminton, with players in six scripts.

Everything in it is invented. Names and labels are in Arabic, Cyrillic, Greek, Devanagari, Japanese and Latin letters; two
players read another language than the workshop's.
"""

from pathlib import Path
from typing import Final

WORKSHOP: Final = """\
name: ورشة القوس الأزرق
tagline: أوتار مشدودة وفق وصفتك.
address: https://qaws.azraq.example
language: ar
units: metric
contact: {email: bench@azraq.example, phone: "+20 2 5550 0142", visit: 7 شارع النخيل، القاهرة, hours: "السبت–الخميس 10–18"}
publish: ../far
tolerances: {mass: 1 g, balance: 2 mm, swingweight: 2 kgcm2, twistweight: 1 kgcm2}
"""
STRINGS: Final = """\
rimal-125: {maker: وادي, name: رمال 1.25, material: polyester, gauge: 1.25 mm}
nada-130: {maker: وادي, name: ندى 1.30, material: nylon, gauge: 1.30 mm}
hazz-066: {maker: وادي, name: حز 0.66, material: nylon, gauge: 0.66 mm}
"""
MODELS: Final = """\
sahl-98:
  {maker: سهيل, name: سهل 98, sport: tennis, length: 685 mm, rim: 12 mm, handle: {length: 180 mm, width: 32 mm},
   head: {length: 340 mm, width: 254 mm}, pattern: 16x19, tension: 22-27 kg}
saqr-135:
  {maker: سهيل, name: صقر 135, sport: squash, length: 686 mm, rim: 11 mm, handle: {length: 200 mm, width: 27 mm},
   head: {length: 345 mm, width: 190 mm, form: teardrop, widths: [60 mm at 34 mm, 118 mm at 110 mm, 154 mm at 312 mm]},
   pattern: 14x18, tension: 9-13 kg}
risha-4:
  {maker: سهيل, name: ريشة 4, sport: badminton, length: 675 mm, rim: 7 mm, handle: {length: 170 mm, width: 25 mm},
   head: {length: 244 mm, width: 188 mm, form: ellipse}, pattern: 22x21, tension: 8-14 kg}
"""
PARTS: Final = """\
sharit: {kind: tape, name: شريط تنغستن, material: tungsten, per_length: 0.12 g/cm}
lafafa: {kind: overgrip, name: لفافة رفيعة, mass: 5 g, removable: yes}
"""
PLAYERS: Final = {
    "layla": ("ليلى النجار", "ليلى", "", "Layla"),
    "darya": ("Дарья Ладова", "Дарья", "", "Darya"),
    "eleni": ("Ελένη Δρυάδη", "Ελένη", "", "Eleni"),
    "anita": ("अनीता शर्मा", "अनीता", "", "Anita"),
    "minami": ("高橋 みなみ", "みなみ", "ja", "Takahashi"),
    "sari": ("Sari Wulandari", "Sari", "en", ""),
}
"""Each player's whole name, the name that is shown, the language they read where it is not the workshop's, and how the
name is read aloud where its letters do not tell."""
LABELS: Final = {
    "layla": "المضرب الأول", "darya": "Главная", "eleni": "Πρώτη", "anita": "ऋतु", "minami": "一号", "sari": "Utama",
}  # fmt: skip
"""The label of each player's first frame."""
NUMBERS: Final = ("3001-6", "3002-4", "3003-2", "3004-0", "3005-9", "3006-7", "3007-5")
_TENNIS: Final = """\
model: sahl-98
grip: L2
setup: {mass: 320 g, balance: 325 mm, swingweight: 315 kgcm2}
jobs:
  - date: 2026-08-03
    strings:
      mains: {string: rimal-125, tension: 24 kg}
      crosses: {string: nada-130, tension: 23 kg}
      path: two pieces
    fitted: [{part: lafafa, place: along the handle}, {part: sharit, place: 3 and 9, length: 30 mm}]
    readings: [{mass: 320.4 g, balance: 324.6 mm, swingweight: 316 kgcm2}, {ring: 560 Hz, age: 15 min}]
    note: راقب الوتر الثالث.
  - date: 2026-10-01
    strings: {mains: {string: rimal-125, tension: 24 kg}, path: two pieces}
    readings: [{ring: 571 Hz, age: 15 min}]
"""
_SQUASH: Final = """\
model: saqr-135
jobs:
  - date: 2026-09-14
    strings: {mains: {string: nada-130, tension: 12 kg}, crosses: {string: nada-130, tension: 11.5 kg}, path: two pieces}
    fitted: [{part: lafafa, place: along the handle}]
    readings: [{mass: 141.2 g, balance: 349 mm}]
"""
_BADMINTON: Final = """\
model: risha-4
jobs:
  - date: 2026-10-05
    strings: {mains: {string: hazz-066, tension: 11.5 kg}}
    fitted: [{part: lafafa, place: along the handle}]
    readings: [{mass: 93.6 g, balance: 293 mm}]
"""
_FRAMES: Final = {
    "layla": _TENNIS, "darya": _SQUASH, "eleni": _TENNIS, "anita": _BADMINTON, "minami": _BADMINTON, "sari": _BADMINTON,
}  # fmt: skip


def key(name: str) -> str:
    """The key of a player or frame, made of its name alone."""
    letters = "".join(sign for sign in name.upper() if sign in "ABCDEFGHJKMNPQRSTVWXYZ")
    return (letters * 26)[:26]


def cairo_shop(root: Path, **files: str) -> Path:
    """The workshop written below ``root``, with more ``files`` by their path."""
    written = {
        "workshop.yaml": WORKSHOP,
        "catalogue/strings.yaml": STRINGS,
        "catalogue/frames.yaml": MODELS,
        "catalogue/parts.yaml": PARTS,
    }
    for number, (player, (full, shown, language, reading)) in zip(NUMBERS, PLAYERS.items(), strict=False):
        more = (f"language: {language}\n" if language else "") + (f"reading: {reading}\n" if reading else "")
        written[f"players/{player}/player.yaml"] = f"name: {shown}\nfull_name: {full}\nkey: {key(player)}\n{more}"
        frame = f"number: {number}\nkey: {key(player + 'FRAME')}\nlabel: {LABELS[player]}\n{_FRAMES[player]}"
        written[f"players/{player}/first.yaml"] = frame
    written["players/layla/second.yaml"] = (
        f"number: {NUMBERS[6]}\nkey: {key('SECOND')}\nlabel: المضرب الثاني\n{_TENNIS}"
    )
    for name, text in (written | files).items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root
