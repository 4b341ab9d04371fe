"""What each piece of a frame claims, and what would have to stand in the records for it.

A claim is a sentence, a mark, a colour or a drawing. `CLAIMS` names how each is recognised on a piece and asks the plain
data of the record whether it may be made: nothing here goes through the facts or the view-model that it judges.
"""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

Tree = Any


_UNITS = {
    "g": ("mass", 1.0), "oz": ("mass", 28.349523125), "mm": ("length", 1.0), "cm": ("length", 10.0), "in": ("length", 25.4),
    "kg": ("pull", 9.80665), "lb": ("pull", 4.4482216152605), "kgcm2": ("inertia", 1.0), "kg·cm²": ("inertia", 1.0),
    "Hz": ("frequency", 1.0), "g/m": ("density", 1.0), "g/cm": ("density", 100.0),
}  # fmt: skip
"""Each unit's dimension and factor: the pound and the inch by their definitions (NIST SP 811), of racquets kg and lb are
pulls, of everything else that is weighed g and oz are told."""
_NUMBER = re.compile(
    r"(?<![\w.,#^-])([+−-]?[0-9]+(?:[.,][0-9]+)?)(?: ([0-9])/([0-9]+))?[ \u202f\u00a0]?(g/cm|g/m|kg·cm²|kgcm2|mm|cm|in|oz|kg|lb|Hz|g)\b(?!·|/[cm])"
)
_SHARED = re.compile(
    r"([0-9.,]+)((?: ?(?:±|\+-|-|–) ?[0-9.,]+ ?)+)(kg·cm²|kgcm2|mm|kg|lb|g|oz|cm|in)\b|([0-9.,]+)((?:/[0-9.,]+)+) ?(kg|lb)\b"
)
"""Several numbers before one unit."""


def amounts(text: Tree) -> list[tuple[str, float, float]]:
    """The quantities in a text: dimension, value in its base unit, and half of what its last digit stands for."""
    plain = str(text).replace("\u202f", " ").replace("\u00a0", " ")
    plain = _SHARED.sub(
        lambda m: " ".join(f"{n} {m[3] or m[6]}" for n in re.findall(r"[0-9.,]+", (m[1] or m[4]) + (m[2] or m[5]))),
        plain,
    )
    found = []
    for number, over, under, unit in _NUMBER.findall(plain):
        bare = number.replace(",", ".").replace("−", "-").lstrip("+-")
        dimension, factor = _UNITS[unit]
        value = float(bare) + (int(over) / int(under) if over else 0.0)
        half = 0.5 * 10.0 ** -len(bare.partition(".")[2])
        found.append((dimension, value * factor, half * factor))
    return found


@dataclass(frozen=True)
class Known:
    """The plain data of one frame: its record, its model's and its player's, the catalogue's parts, and the state that
    the record was made to be in."""

    frame: Mapping[str, Tree]
    model: Mapping[str, Tree]
    player: Mapping[str, Tree]
    parts: Mapping[str, Tree]
    state: str
    strings_in: Mapping[str, Tree] = field(default_factory=dict)
    """The catalogue's strings."""
    tolerances: Mapping[str, float] = field(default_factory=dict)
    """The workshop's, in g, mm and kg·cm²."""
    slack: float = 0.0
    """Tolerances that the check of an instrument may move a figure by; none in a shop without checks."""

    same_within: tuple[tuple[str, float], ...] = ()
    """Within how much two readings of one bed lie by the repeatability that the workshop states: dimension and value."""

    @property
    def estimated(self) -> bool:
        """Whether a figure is not simply what was read: in points on a length that nobody recorded, or by a check."""
        return (_in_points(self) and not self.model.get("length")) or bool(self.slack)

    @property
    def jobs(self) -> list[Mapping[str, Tree]]:
        """All jobs."""
        return list(self.frame.get("jobs") or ())

    @property
    def strings(self) -> list[Mapping[str, Tree]]:
        """All stringings."""
        return [job["strings"] for job in self.jobs if job.get("strings")]

    @property
    def readings(self) -> list[Mapping[str, Tree]]:
        """All readings."""
        return [reading for job in self.jobs for reading in job.get("readings") or ()]

    @property
    def fitted(self) -> list[Mapping[str, Tree]]:
        """All parts that were ever fitted."""
        return [*(self.frame.get("build") or ()), *(f for job in self.jobs for f in job.get("fitted") or ())]

    @property
    def in_play(self) -> bool:
        """Whether the frame is played with."""
        return self.frame.get("status", "active") == "active" and self.state not in ("sealed", "erased")

    def says(self, name: str) -> bool:
        """Whether a stringing says a thing, and not that nobody knows."""
        return any(strings.get(name, "unknown") != "unknown" for strings in self.strings)

    def path_says(self, pattern: str) -> bool:
        """Whether the path of a stringing, or the variant that it names, says a thing."""
        variants = {v["name"]: f"{v.get('path', '')} {v.get('order', '')}" for v in self.pattern.get("variants") or ()}
        texts = [text for s in self.strings if (text := s.get("path"))]
        return any(re.search(pattern, variants.get(text.partition(",")[0], text), re.IGNORECASE) for text in texts)

    @property
    def two_strings(self) -> bool:
        """Whether mains and crosses are two different strings."""
        return any(s.get("crosses") and s["crosses"]["string"] != s["mains"]["string"] for s in self.strings)

    def measured(self, *names: str) -> bool:
        """Whether one of these quantities was ever read."""
        return any(reading.get(name) for reading in self.readings for name in names)

    @property
    def pattern(self) -> Mapping[str, Tree]:
        """What the catalogue says of the maker's pattern."""
        found = self.model.get("pattern") or {}
        return found if isinstance(found, dict) else {}


def _counted(known: Known) -> bool:
    told = known.says("pieces") or known.says("knots") or known.two_strings
    return told or known.path_says("piece|around the world|box|long: ")


def _starts(known: Known) -> bool:
    told = any(known.says(n) or known.pattern.get(n) for n in ("mains_start", "crosses_start"))
    return told or known.path_says("(mains|crosses) from")


def _by_maker(known: Known) -> bool:
    return any(known.pattern.get(n) for n in ("mains_start", "crosses_start", "skips", "tie_offs"))


def _weighed(known: Known) -> bool:
    def has_mass(fitted: Mapping[str, Tree]) -> bool:
        part = known.parts[fitted["part"]]
        return bool(fitted.get("mass") or part.get("mass") or (part.get("per_length") and fitted.get("length")))

    return bool(known.fitted) and all(map(has_mass, known.fitted))


def _judged(known: Known) -> bool:
    aimed = set(known.frame.get("setup") or ())
    return known.in_play and any(reading.get(name) for reading in known.readings for name in aimed)


def _offs(known: Known) -> list[tuple[float, float]]:
    """How far each quantity last read off its target, in tolerances, and what a share of 0.3 % of the figure is of one:
    as much as a scale or a machine that was never checked may be off (common practice)."""
    setup, found = known.frame.get("setup") or {}, []
    for name in ("mass", "balance", "swingweight", "twistweight"):
        read = [amounts(r[name]) for r in known.readings if r.get(name) and r.get("when") != "before"]
        aim = amounts(setup.get(name, ""))
        if read and read[-1] and aim:
            tolerance = aim[1][1] if len(aim) > 1 else known.tolerances[name]
            found.append((abs(read[-1][0][1] - aim[0][1]) / tolerance, 0.003 * aim[0][1] / tolerance))
    return found


def _in_points(known: Known) -> bool:
    """Whether a balance is in points, which these plain numbers do not turn into mm."""
    return "pt" in str(known.frame.get("setup")) + str(known.readings)


def _on_target(known: Known) -> bool:
    return _judged(known) and (_in_points(known) or any(off <= 1 + known.slack for off, _ in _offs(known)))


def _off_target(known: Known) -> bool:
    return _judged(known) and (_in_points(known) or any(off > 1 - known.slack for off, _ in _offs(known)))


def _close(known: Known) -> bool:
    near = any(abs(off - 1) <= 2 * share + known.slack for off, share in _offs(known))
    return _judged(known) and (_in_points(known) or near)


def _due(known: Known) -> bool:
    return known.in_play and bool(known.strings) and bool(known.player.get("plays_a_week"))


CLAIMS: tuple[tuple[str, str, Callable[[Known], bool]], ...] = (
    ("pieces", r"\b[12] pieces?\b", _counted),
    ("knots", r"\b[2-4] knots?\b", _counted),
    ("around the world", r"around the world", lambda k: k.path_says("around the world")),
    ("where strings start", r"(?i)mains start|crosses start|start: |mains from ", _starts),
    ("a maker's pattern", r"maker’s pattern", _by_maker),
    (
        "pre-stretch",
        r"(?i)pre-stretch|prestretch_percent\": [0-9]",
        lambda k: any("prestretch" in s["mains"] for s in k.strings),
    ),
    ("in play", r"\bIn play\b|, active\b", lambda k: k.frame.get("status") == "active"),
    ("the pattern", r"\b[0-9]{2}\s*×\s*[0-9]{2}\b", lambda k: bool(k.model.get("pattern"))),
    ("a mass in all", r"g in all", _weighed),
    ("no mass at all", r"\b0\.0\s*g\b", lambda _: False),
    ("nothing fitted", r"(?i)nothing (?:is )?fitted", lambda k: k.frame.get("build") == []),
    ("as its maker built it", r"as its maker built it", lambda _: False),
    (
        "measured",
        r"Measured strung|\bMeasured\b(?! yet)",
        lambda k: k.measured("mass", "balance", "swingweight", "ring"),
    ),
    ("an axis", r"about an axis", lambda k: k.measured("swingweight") or "swingweight" in (k.frame.get("setup") or ())),
    ("on target", r"(?<!to be )\bon target\b|(?<!likely )\binside(?:, | \()|is-inside", _on_target),
    ("off target", r"\boff target\b|(?<!just )\boutside(?:, | \()|is-outside", _off_target),
    ("too close to call", r"too close to call|just outside|\bundecided\b|is-undecided", _close),
    ("a mark that is off", r"\b[fs]-bad|(?<!: )#9b1c2c", _off_target),
    ("a mark of doubt", r"\b[fs]-doubt|(?<!: )#6d4a00", _close),
    ("a frame out of play", r"is-stop", lambda k: k.frame.get("status") in ("broken", "lost")),
    ("late strings", r"is-late|is-soon|\boverdue\b|\bdue soon\b", lambda k: k.state in ("overdue", "due soon")),
    ("how sure", r"% sure|% likely", _judged),
    ("a due day", r"(?i)restring by [0-9]", _due),
    ("lively strings", r"is-lively", lambda _: False),  # no piece is made on a day that it knows it is read on
    ("life of the strings", r"How the strings hold", lambda k: k.in_play and bool(k.strings)),
    ("fresh strings", r'class="fresh ', lambda k: k.in_play and bool(k.strings)),
    ("strings, drawn", r"clip-path=\"url\(#racquet|clip-path=\"url\(#card", lambda k: bool(k.strings)),
    ("nobody read it", r"Nobody has read", lambda _: False),
    ("no reading", r"No reading of these strings", lambda k: not k.measured("ring")),
    ("not strung", r"(?i)not strung yet|no stringing recorded|, unstrung", lambda k: not k.strings),
    ("what is the same", r"the same if within|same_within", lambda k: bool(k.same_within) and k.measured("ring")),
    ("a reading right after", r"Fresh reading|\bFresh: |fingerprint", lambda k: k.measured("ring")),
    ("pulls by zone", r"By zone", lambda k: k.says("zones")),
    ("head light", r"points? (?:HL|HH|head)|pt H[LH]", lambda k: bool(k.model.get("length")) or _in_points(k)),
    ("a bed's tension", r"(?i)bed tension worked out|in the bed .* were left", lambda k: k.measured("ring")),
    ("a best estimate", r"(?i)best estimate(?! by)", lambda k: bool(k.readings) and k.estimated),
    (
        "broken",
        r"This frame is broken|[Mm]arked broken|Broken: not|, broken",
        lambda k: k.frame.get("status") == "broken",
    ),
    ("lost", r"This racquet is lost|, lost\b", lambda k: k.frame.get("status") == "lost"),
    ("retired", r"(?i)is retired", lambda k: k.frame.get("status") == "retired"),
    (
        "lead",
        r"(?i)lead (?:tape )?is fitted",
        lambda k: any(k.parts[f["part"]].get("material") == "lead" for f in k.fitted),
    ),
    ("a gauge in mm", r"\b[0-9][.,][0-9]{2}\s*mm\b", lambda k: k.state != "gauge number"),
)
"""Name, how it is recognised, and whether the plain records bear it out."""


def unfounded(piece: str, known: Known) -> list[str]:
    """The claims on a piece that the records do not bear out, each with the words that make it."""
    plain = piece.replace("\u202f", " ").replace("\u00a0", " ")
    found = []
    for name, pattern, founded in CLAIMS:
        match = re.search(pattern, plain)
        if match and not founded(known):
            found.append(f"{name}: {plain[max(0, match.start() - 40) : match.end() + 40]!r}")
    return found


def strangers(piece: str, known: Known) -> list[str]:
    """The figures with a unit on a piece that no record holds and that do not follow from those by a plain sum: the edge
    of a tolerance, the mass of tape from its length, how far a reading is off."""
    plain = re.sub(r"<(?:style|script).*?</(?:style|script)>|<[^>]*>", " ", piece, flags=re.DOTALL)
    # worked out, and said with what it may be off
    plain = re.sub(r"Bed tension worked out from [^,]*, give or take [0-9]+ %[^)]*\)", "", plain.replace("\u202f", " "))
    plain = re.sub(r"in the bed [^;]* were left [^,]*, worked out from [^,]*, give or take [0-9]+ %", "", plain)
    if _in_points(known) and not known.model.get("length"):  # mm on a usual length, said with what they may be off
        plain = re.sub(r"[0-9.,]+ ?mm\s+best estimate within ± [0-9.,]+ ?mm", "", plain.replace("\u202f", " "))
        plain = re.sub(r"(?:[0-9.,]+ ?mm\s+)+(?=best estimate)|within ± [0-9.,]+.mm", "", plain)
    told = {(dimension, value) for text in _texts(known) for dimension, value, _ in amounts(text)} | set(_sums(known))
    told |= set(known.same_within)
    found = []
    for dimension, value, half in amounts(plain):
        off = 0.005 * value if known.slack and dimension != "pull" else 0.0  # what a check moves a figure by at most
        if not any(d == dimension and abs(v - value) <= half * 1.01 + off for d, v in told):
            found.append(f"{value:g} ({dimension})")
    return list(dict.fromkeys(found))


def _texts(known: Known) -> list[str]:
    """Every text of the records that a frame's pieces may go by."""
    names = {s["string"] for strung in known.strings for s in strung.values() if isinstance(s, dict)}
    sources = [known.frame, known.model, *(known.strings_in[n] for n in names if n in known.strings_in)]
    sources += [known.parts[f["part"]] for f in known.fitted]
    return [*(text for source in sources for text in _scalars(source)), "10 cm"]  # the usual swing axis


def same_within(instruments: list[Mapping[str, Tree]]) -> tuple[tuple[str, float], ...]:
    """Within how much 95 of 100 pairs of readings of one bed lie, in steps of the display, of each reader that has its
    repeatability stated: 2·√2·√(s² + d²/12) for a scatter s and a step d (JCGM 100, 5.1.2 and F.2.2.1)."""
    found = []
    for tool in instruments:
        if tool.get("kind") == "ring reader" and tool.get("repeatability"):
            (dimension, step, _), (_, scatter, _) = amounts(tool["resolution"])[0], amounts(tool["repeatability"])[0]
            within = 2 * math.sqrt(2) * math.hypot(scatter, step / math.sqrt(12))
            found.append((dimension, math.ceil(within / step) * step))
    return tuple(found)


def _scalars(tree: Tree) -> list[str]:
    inner = tree.values() if isinstance(tree, Mapping) else tree if isinstance(tree, list) else None
    return [str(tree)] if inner is None else [text for child in inner for text in _scalars(child)]


def _sums(known: Known) -> list[tuple[str, float]]:
    found: list[tuple[str, float]] = []
    setup = known.frame.get("setup") or {}
    for name, default in known.tolerances.items():
        aim = amounts(setup.get(name, ""))
        if aim:
            dimension, target, _ = aim[0]
            tolerance = aim[1][1] if len(aim) > 1 else default
            reads = [amounts(r[name])[0][1] for r in known.readings if r.get(name) and amounts(r[name])]
            found += [(dimension, v) for v in (tolerance, target - tolerance, target + tolerance)]
            found += [(dimension, abs(read - target)) for read in reads]
    if known.model.get("length"):  # a point is an eighth of an inch from the middle
        middle = amounts(known.model["length"])[0][1] / 2
        written = re.findall(r"([0-9.]+) pt (H[LH])", " ".join(_scalars(known.frame)))
        found += [("length", middle + (-1 if side == "HL" else 1) * float(n) * 25.4 / 8) for n, side in written]
    now = sum(_mass(known, f) for f in _on_now(known))
    return [*found, *(("mass", _mass(known, f)) for f in known.fitted), ("mass", now)]


def _on_now(known: Known) -> list[Mapping[str, Tree]]:
    """What is on the frame after its last job: a grip, sleeve, cap, bumper or set of grommets takes the place of the one
    before, the same part at the same place that of itself; what was removed is gone."""
    on = list(known.frame.get("build") or ())
    for job in known.jobs:
        gone = job.get("removed") or []
        gone = [(r["part"], r["place"]) for r in (gone if isinstance(gone, list) else [gone])]
        new = list(job.get("fitted") or ())
        taken = {known.parts[f["part"]].get("kind") for f in new} & {
            "base grip",
            "sleeve",
            "butt cap",
            "bumper",
            "grommets",
            "damper",
            "head tape",
        }
        gone += [(f["part"], f["place"]) for f in new]
        on = [f for f in on if (f["part"], f["place"]) not in gone and known.parts[f["part"]].get("kind") not in taken]
        on += new
    return on


def _mass(known: Known, fitted: Mapping[str, Tree]) -> float:
    """A part's mass, g: as weighed, from its length on both sides, or of the catalogue."""
    part = known.parts[fitted["part"]]
    if fitted.get("mass"):
        return amounts(fitted["mass"])[0][1]
    if fitted.get("length") and part.get("per_length"):
        count = 1 if str(fitted["place"]) in ("12", "6") or str(fitted["place"]).endswith(" only") else 2
        return count * amounts(fitted["length"])[0][1] / 1000 * amounts(part["per_length"])[0][1]
    return amounts(part["mass"])[0][1] if part.get("mass") else 0.0
