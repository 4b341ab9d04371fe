"""A workshop whose frames are nothing but string beds, for tests of what their readings say."""

import math
from collections.abc import Mapping
from pathlib import Path

from smallshop import FILES

from passport.records import checks
from passport.records.load import Content, load

LBF = 4.4482216152605  # N, exact: NIST Special Publication 811, appendix B
STRINGS = (
    FILES["catalogue/strings.yaml"]
    + """\
birch-130: {maker: Oxbow, name: Birch, material: nylon, gauge: 1.30 mm}
odd-120: {maker: Oxbow, name: Odd, material: other, gauge: 1.20 mm}
"""
)
PLAYER = "name: Cy\nfull_name: Cyrus Cole\ncontact: {email: cy@cole.example, phone: 01632 960777}\n"


def job(
    day: str, *readings: str, mains: str = "reed-125, tension: 50 lb", crosses: str = "", strung: bool = True
) -> str:
    """One job in YAML: a stringing (unless ``strung`` is False) with readings such as ``ring: 580 Hz, age: 15 min``."""
    lines = [f"  - date: {day}"]
    if strung:
        other = f", crosses: {{string: {crosses}}}, pieces: 2" if crosses else ""
        lines.append(f"    strings: {{mains: {{string: {mains}}}{other}}}")
    if readings:
        lines.append("    readings:")
        lines += [f"      - {{{reading}}}" for reading in readings]
    return "\n".join(lines) + "\n"


def frame(*jobs: str, label: str = "One", more: str = "") -> str:
    """A frame's record."""
    return f"model: larch-98\nlabel: {label}\n{more}jobs:\n{''.join(jobs)}"


def shop(
    root: Path,
    frames: Mapping[str, str],
    *,
    workshop: str = "",
    player: str = "",
    changes: Mapping[str, str] | None = None,
) -> Content:
    """The workshop's content: ``frames`` by their file's name, all of one player; it must be free of errors."""
    files = {
        **{name: text for name, text in FILES.items() if not name.startswith("players/")},
        "workshop.yaml": FILES["workshop.yaml"] + workshop,
        "catalogue/strings.yaml": STRINGS,
        "players/cy/player.yaml": PLAYER + player,
        **{f"players/cy/{name}.yaml": text for name, text in frames.items()},
        **(changes or {}),
    }
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    content, faults = load(root)
    faults += checks.run(content, max(j.date for e in content.frames.values() for j in e.record.jobs))
    errors = [fault.text() for fault in faults if fault.severity == "error"]
    assert not errors, "\n".join(errors)
    return content


def hz(fresh: float, k: float, minutes: float) -> float:
    """The frequency of a bed that read ``fresh`` Hz at 15 minutes and loses the share ``k`` of its tension a decade."""
    return fresh * math.sqrt(1 - k * math.log10(minutes / 15))
