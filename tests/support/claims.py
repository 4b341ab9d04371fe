"""What each piece of a frame claims, and what would have to stand in the records for it.

A claim is a sentence, a mark, a colour or a drawing. `CLAIMS` names how each is recognised on a piece and asks the plain
data of the record whether it may be made: nothing here goes through the facts or the view-model that it judges.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

Tree = Any


@dataclass(frozen=True)
class Known:
    """The plain data of one frame: its record, its model's and its player's, the catalogue's parts, and the state that
    the record was made to be in."""

    frame: Mapping[str, Tree]
    model: Mapping[str, Tree]
    player: Mapping[str, Tree]
    parts: Mapping[str, Tree]
    state: str

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
    ("a verdict", r"\bon target\b|\boff target\b|too close to call|\b(?:inside|outside)(?:, | \()", _judged),
    ("how sure", r"% sure|% likely", _judged),
    ("a due day", r"(?i)restring by [0-9]", _due),
    ("lively strings", r'class="fresh is-lively|due is-lively', _due),
    ("life of the strings", r"How the strings hold", lambda k: k.in_play and bool(k.strings)),
    ("fresh strings", r'class="fresh ', lambda k: k.in_play and bool(k.strings)),
    ("strings, drawn", r"clip-path=\"url\(#racquet|clip-path=\"url\(#card", lambda k: bool(k.strings)),
    ("nobody read it", r"Nobody has read", lambda _: False),
    ("no reading", r"No reading of these strings", lambda k: not k.measured("ring")),
    ("not strung", r"(?i)not strung yet|no stringing recorded|, unstrung", lambda k: not k.strings),
    ("head light", r"points? (?:HL|HH|head)|pt H[LH]", lambda k: bool(k.model.get("length"))),
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
