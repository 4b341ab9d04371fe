"""The text of the code on tag and set card: a setup in plain words that any telephone shows, without a network.

The words are the same in every language, and the first line names the version of the grammar. A line says one thing::

    Racquet setup 1
    1042-9 tennis 2026-11-12
    frame Ostrevane / Marlpit 98, grip L3, 685.8mm, head 330x246, 16x19
    mains Brindlecote / Deep Petrol, 1.25mm polyester 1.69g/m, 51lb
    crosses same, 49lb
    strung 1 piece, 2 knots, mains throat, crosses head
    mass 330+-1g
    balance 319.5+-1.5mm
    swing 318.5+-1.5kgcm2
    tape 1.6g 2x40mm 10 and 2 = Tungsten tape
    overgrip 5g

A target has ``+-`` and its tolerance; ``read 330.1g u0.2`` is what was measured, with its standard uncertainty, of what has
no target. A part is its kind, its mass, the length of each piece, its place, its name. A text that follows the grammar is
read into a `SetupData` and written from that again as it was; what a shorter form leaves out is not needed to build the
racquet.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Final, get_args

from passport.physics.units import N_PER_KGF, N_PER_LBF
from passport.records.exchange.setup import FORMAT, FittedData, SetupData, StrungData
from passport.records.language.worded import unsaid, worded
from passport.records.schema.catalogue import Form, Material, PartKind, Sport

GRAMMAR: Final = 1
HEAD: Final = "Racquet setup"
"""What every text begins with, before the version of its grammar."""
SHORTEST: Final = 4
"""The shortest form: 1 leaves out what is drawn on the strings, and of the frame what is not its length or head, 2 also the
names of parts and skipped holes, 3 also who makes the string and where it is tied off, 4 also how it runs."""
MOST: Final = 5000
"""Characters of a text that is read: more than the largest code holds."""

_LB_IN_KG: Final = N_PER_LBF / N_PER_KGF
_WORDS: Final[Mapping[str, str]] = {
    "mass": "mass",
    "balance": "balance",
    "swing": "swingweight",
    "twist": "twistweight",
}
_UNITS: Final[Mapping[str, str]] = {"mass": "g", "balance": "mm", "swingweight": "kgcm2", "twistweight": "kgcm2"}
_AT_HOME: Final[Mapping[str, str]] = {
    "base grip": "along the handle",
    "overgrip": "along the handle",
    "butt cap": "butt cap",
    "damper": "between the mains",
    "bumper": "under the bumper",
}
"""Where a part of a kind is that names no place."""
_KINDS: Final = sorted(get_args(PartKind), key=lambda kind: -len(kind))
_NOTHING: Final = "nothing fitted"
_NUMBER: Final = r"-?[0-9]{1,6}(?:\.[0-9]{1,6})?"


class NotASetup(ValueError):
    """A text that does not follow the grammar: in which line (from 1), what is wrong, what to do."""

    def __init__(self, line: int, what: str, do: str) -> None:
        super().__init__(what)
        self.line, self.what, self.do = line, what, do


# --- writing -------------------------------------------------------------------------------------------------------


def tag_text(setup: SetupData, shorter: int = 0) -> str:
    """The setup as text, ``shorter`` from 0 to `SHORTEST`."""
    return "\n".join(_lines(setup, shorter))


def _lines(s: SetupData, shorter: int) -> Iterator[str]:
    yield f"{HEAD} {GRAMMAR}"
    yield " ".join(filter(None, (s.number, s.sport, s.updated)))
    yield _line("frame", _frame(s, shorter))
    if s.strings:
        yield _line("mains", _strung(s.strings.mains, shorter))
        yield _line("crosses", _crosses(s.strings.mains, s.strings.crosses, shorter))
    yield from filter(None, (_line(name, fields) for name, fields in _work(s, shorter)))
    for word, name in _WORDS.items():
        yield from _figure(word, _UNITS[name], getattr(s.finished, name))
    if s.build == []:
        yield _NOTHING
    for part in s.build or ():
        yield " ".join(filter(None, _fitted(part, shorter)))


def _line(name: str, fields: Iterable[str]) -> str:
    said = ", ".join(filter(None, fields))
    return f"{name} {said}" if said else ""


def _frame(s: SetupData, shorter: int) -> Iterator[str]:
    g = s.geometry
    yield _name(s.frame.maker, s.frame.model)
    yield f"grip {_plain(s.frame.grip)}" if s.frame.grip else ""
    yield f"{_figures(s.length_mm)}mm" if s.length_mm is not None else ""
    if g and g.head_length_mm and g.head_width_mm:
        yield f"head {_figures(g.head_length_mm)}x{_figures(g.head_width_mm)}"
    elif g and g.head_area_cm2:
        yield f"head {_figures(g.head_area_cm2)}cm2"
    yield (g.form if g else "") or ""
    if g and shorter < 1:
        yield f"rim {_figures(g.rim_mm)}" if g.rim_mm else ""
        if g.handle_length_mm and g.handle_width_mm:
            yield f"handle {_figures(g.handle_length_mm)}x{_figures(g.handle_width_mm)}"
        yield f"throat {g.throat}" if g.throat else ""
        if g.main_spacing_mm and g.cross_spacing_mm:
            yield f"spaced {_figures(g.main_spacing_mm)}x{_figures(g.cross_spacing_mm)}"
    yield f"{s.pattern.mains}x{s.pattern.crosses}" if s.pattern else ""


def _strung(s: StrungData, shorter: int) -> Iterator[str]:
    yield _name(s.maker if shorter < 3 else "", s.string)
    gauge = f"{_figures(s.gauge_mm)}mm" if s.gauge_mm else f"{_word(s.gauge_number)}ga" if s.gauge_number else ""
    if shorter > 1 and s.gauge_mm and f"{s.gauge_mm:.2f}" in s.string:
        gauge = ""  # the string's name says it
    mass = f"{_figures(s.mass_per_length_g_m)}g/m" if s.mass_per_length_g_m else ""
    yield " ".join(filter(None, (gauge, s.material, mass)))
    yield from _pull(s)


def _pull(s: StrungData) -> Iterator[str]:
    kilograms = s.tension_written_in == "kg"
    yield f"{_figures(s.pull_tension_kg)}kg" if kilograms else f"{_figures(s.pull_tension_lb)}lb"
    yield f"stretch {_figures(s.prestretch_percent)}%" if s.prestretch_percent else ""


def _crosses(mains: StrungData, crosses: StrungData, shorter: int) -> Iterator[str]:
    if [*_strung(mains, 0)][:2] == [*_strung(crosses, 0)][:2]:
        yield "same"
        yield from _pull(crosses)
    else:
        yield from _strung(crosses, shorter)


def _work(s: SetupData, shorter: int) -> Iterator[tuple[str, Iterable[str]]]:
    """How the string runs, and what was drawn on it."""
    bed = s.strings
    if bed is None:
        return
    counts = (("piece", bed.pieces), ("knot", bed.knots))
    starts = (("mains", bed.mains_start), ("crosses", bed.crosses_start))
    how = [f"{n} {name}{'s' if n > 1 else ''}" for name, n in counts if n]
    how += [f"{name} {end}" for name, end in starts if end in ("throat", "head")]
    how += [f"way {_plain(bed.way)}"] if bed.way else []
    yield "strung", how if shorter < 4 else ()
    yield "ties", (_one_line(bed.tie_offs),) if shorter < 3 else ()
    yield "skips", (_one_line(bed.skips),) if shorter < 2 else ()
    yield "stencil", (_one_line(bed.stencil),) if shorter < 1 else ()
    yield "ink", (_one_line(bed.ink),) if shorter < 1 else ()


def _figure(word: str, unit: str, figure: Any) -> Iterator[str]:
    if figure is None:
        return
    points = getattr(figure, "target_points_head_light", None)
    target, tolerance = getattr(figure, f"target_{unit}"), getattr(figure, f"tolerance_{unit}")
    allowed = f"+-{_figures(tolerance)}" if tolerance is not None else ""
    if points is not None:
        yield f"{word} {_figures(points)}pt{f'{allowed}mm' if allowed else ''}"
    elif target is not None:
        yield f"{word} {_figures(target)}{allowed}{unit}"
    elif (value := getattr(figure, f"best_estimate_{unit}")) is not None:
        u = getattr(figure, f"uncertainty_{unit}")
        yield f"{word} read {_figures(value)}{unit}{f' u{_figures(u)}' if u is not None else ''}"


def _fitted(p: FittedData, shorter: int) -> Iterator[str]:
    yield p.kind
    yield f"{_figures(p.mass_g)}g" if p.mass_g is not None else ""
    if p.length_mm is not None:
        pieces = f"{p.pieces}x" if p.pieces == 2 else ""
        yield f"{pieces}{_figures(p.length_mm)}mm"
    place = re.sub(r"^([0-9.]+)(mm|g)", r"\1 \2", _plain(p.place))  # a place in mm is no length
    yield "" if place == _AT_HOME.get(p.kind) else place
    yield f"= {_plain(p.part)}" if shorter < 2 and _plain(p.part) not in ("", p.kind) else ""


def _figures(value: float) -> str:
    """A number as short as it can be, never with an exponent."""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _name(maker: str, name: str) -> str:
    maker, name = _plain(maker), _plain(name)
    return f"{maker} / {name or '?'}" if maker else name or "?"


_SIGNS = str.maketrans({",": " ", "/": "-", "=": "-"})


def _plain(text: str | None) -> str:
    """A name without what the grammar divides by: one line, no comma, no stroke, no equals sign."""
    return _one_line((text or "").translate(_SIGNS))


def _word(text: str | None) -> str:
    """The same without a space."""
    return _plain(text).replace(" ", "")


def _one_line(text: str) -> str:
    return " ".join(text.split())


# --- reading -------------------------------------------------------------------------------------------------------


def is_tag_text(text: str) -> bool:
    """Whether a text begins as one on a tag does."""
    return text.lstrip("\ufeff \r\n\t").lower().startswith(HEAD.lower())


def read_tag_text(text: str) -> SetupData:
    """The setup that a text says. Raises `NotASetup`, and pydantic's ValidationError for figures that cannot be."""
    if len(text) > MOST:
        what = f"This text has {len(text)} characters, and no code holds so many."
        raise NotASetup(1, what, "Copy the code's text alone.")
    lines = [(i, _one_line(line)) for i, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)]
    rows = [(i, line) for i, line in lines if line]
    found = TagReading()
    _version(rows)
    if len(rows) < 2:
        raise NotASetup(rows[0][0], "This text ends after its first line.", "Copy all that the telephone shows.")
    found.who(*rows[1])
    for i, line in rows[2:]:
        name, _, said = line.partition(" ")
        kind = next((kind for kind in _KINDS if f"{line} ".startswith(f"{kind} ")), None)
        read = _READERS.get(name)
        if line == _NOTHING:
            found.nothing(i)
        elif kind:
            found.part(i, kind, line.removeprefix(kind).strip())
        elif read:
            read(found, i, name, said)
        else:
            do = f"Lines begin with {', '.join(_READERS)}, or with what a part is: {', '.join(sorted(_KINDS))}."
            raise NotASetup(i, f"No line of such a text begins with '{name[:40]}'.", do)
    return SetupData.model_validate(found.document)


def _version(rows: list[tuple[int, str]]) -> None:
    if not rows or not rows[0][1].lower().startswith(HEAD.lower()):
        do = f"It begins with '{HEAD} {GRAMMAR}': copy it from there on."
        raise NotASetup(rows[0][0] if rows else 1, "This is not the text of a tag.", do)
    i, first = rows[0]
    version = first[len(HEAD) :].strip()
    if not re.fullmatch("[0-9]{1,4}", version):
        what = f"'{first[:60]}' does not say which version of the grammar it is."
        raise NotASetup(i, what, f"Write '{HEAD} {GRAMMAR}'.")
    if int(version) != GRAMMAR:
        do = "Use the newest release of the program, or type the setup in from what is printed."
        raise NotASetup(i, f"This text is of version {version}, and this program reads version {GRAMMAR}.", do)


class TagReading:
    """What was read so far, as the file of a setup has it."""

    def __init__(self) -> None:
        self.document: dict[str, Any] = {"format": FORMAT, "finished": {}, "frame": {}}
        self.seen: set[str] = set()

    def who(self, i: int, line: str) -> None:
        """``1042-9 tennis 2026-11-12``: the day may be missing."""
        found = re.fullmatch(r"(\S+) (\S+)(?: ([0-9]{4}-[0-9]{2}-[0-9]{2}))?", line)
        if not found or found[2] not in get_args(Sport):
            do = "Write them as in '1042-9 tennis 2026-11-12'."
            raise NotASetup(i, f"'{line[:60]}' is not a number, a sport and a day.", do)
        self.document |= {"number": found[1], "sport": found[2]} | ({"updated": found[3]} if found[3] else {})

    def once(self, i: int, name: str) -> None:
        """Raise `NotASetup` for a second line of a name."""
        if name in self.seen:
            raise NotASetup(i, f"A second line begins with '{name}'.", "Keep the one that is right.")
        self.seen.add(name)

    @property
    def strings(self) -> dict[str, Any]:
        """The stringing; the text tells no day of its own for it."""
        bed: dict[str, Any] = self.document.setdefault("strings", {})
        return bed

    # --- a line each ---

    def frame(self, i: int, name: str, said: str) -> None:
        """The frame and its dimensions."""
        self.once(i, name)
        identity, geometry, fields = self.document["frame"], dict[str, Any](), said.split(", ")
        identity |= _maker_and("model", fields[0])
        for field in fields[1:]:
            if field.startswith("grip "):
                identity["grip"] = field.removeprefix("grip ")
            elif field in get_args(Form):
                geometry["form"] = field
            elif found := re.fullmatch(r"([0-9]{1,2})x([0-9]{1,2})", field):
                self.document["pattern"] = {"mains": int(found[1]), "crosses": int(found[2])}
            elif found := re.fullmatch(rf"({_NUMBER})mm", field):
                self.document["length_mm"] = float(found[1])
            elif not _dimension(field, geometry):
                raise _odd(i, field, "'head 330x246' or '16x19'")
        if geometry:
            self.document["geometry"] = geometry

    def strung(self, i: int, name: str, said: str) -> None:
        """The mains or the crosses."""
        self.once(i, name)
        fields = said.split(", ")
        if fields[0] == "same":
            mains = self.strings.get("mains")
            if name != "crosses" or mains is None:
                raise NotASetup(i, "Nothing before this line says what it is the same as.", "Write the mains first.")
            alike = {key: value for key, value in mains.items() if key not in _PULLED}
            self.strings[name] = alike | _pulled(i, fields[1:])
            return
        if len(fields) < 3:
            raise NotASetup(i, f"The {name} need a string, what it is, and a tension.", worded(_STRUNG))
        self.strings[name] = _maker_and("string", fields[0]) | _of_string(i, fields[1]) | _pulled(i, fields[2:])

    def work(self, i: int, name: str, said: str) -> None:
        """Pieces, knots, where the sides start, and the way."""
        self.once(i, name)
        for field in said.split(", "):
            if found := re.fullmatch(r"([0-9]) (piece|knot)s?", field):
                self.strings[f"{found[2]}s"] = int(found[1])
            elif found := re.fullmatch(r"(mains|crosses) (throat|head)", field):
                self.strings[f"{found[1]}_start"] = found[2]
            elif field.startswith("way "):
                self.strings["way"] = field.removeprefix("way ")
            else:
                raise _odd(i, field, "'1 piece' or 'mains throat'")

    def words(self, i: int, name: str, said: str) -> None:
        """A line of free words."""
        self.once(i, name)
        self.strings[{"ties": "tie_offs"}.get(name, name)] = said

    def figure(self, i: int, word: str, said: str) -> None:
        """A target with its tolerance, or what was read."""
        self.once(i, word)
        name = _WORDS[word]
        unit = _UNITS[name]
        if found := re.fullmatch(rf"({_NUMBER})(?:\+-({_NUMBER}))?{unit}", said):
            read = {f"target_{unit}": float(found[1])} | _given(f"tolerance_{unit}", found[2])
        elif found := re.fullmatch(rf"({_NUMBER})pt(?:\+-({_NUMBER})mm)?", said) if name == "balance" else None:
            read = {"target_points_head_light": float(found[1])} | _given("tolerance_mm", found[2])
        elif found := re.fullmatch(rf"read ({_NUMBER}){unit}(?: u({_NUMBER}))?", said):
            read = {f"best_estimate_{unit}": float(found[1])} | _given(f"uncertainty_{unit}", found[2])
        else:
            raise _odd(i, said, f"'330+-1{unit}' or 'read 330.1{unit} u0.2'")
        self.document["finished"][name] = read

    def nothing(self, i: int) -> None:
        """That there is nothing on the frame."""
        self.once(i, _NOTHING)
        self.document.setdefault("build", [])

    def part(self, i: int, kind: str, said: str) -> None:
        """A part on the frame."""
        where, sign, name = said.partition("= ")
        found = re.fullmatch(rf"(?:({_NUMBER})g(?: |$))?(?:(2x)?({_NUMBER})mm(?: |$))?(.*)", where.strip())
        place = (found[4].strip() if found else "") or _AT_HOME.get(kind, "")
        if found is None or not place or (sign and not name):
            do = "Write its place behind its mass, as in 'tape 1.6g 2x40mm 10 and 2'."
            raise NotASetup(i, f"Nothing says where the {kind} is.", do)
        part: dict[str, Any] = {"part": name or kind, "kind": kind, "place": place}
        # Nothing here tells whether a mass was weighed or is the catalogue's, which is less sure.
        part |= {"source": {"mass_g": "model"}} if found[1] else {}
        part |= {**_given("mass_g", found[1]), **_given("length_mm", found[3]), **({"pieces": 2} if found[2] else {})}
        self.document.setdefault("build", []).append(part)


_PULLED = frozenset({"pull_tension_lb", "pull_tension_kg", "tension_written_in", "prestretch_percent"})
_STRUNG = unsaid("Write them as in 'mains Oxbow / Gorse, 1.25mm polyester 1.69g/m, 51lb'.")
_READERS: Final[Mapping[str, Callable[[TagReading, int, str, str], None]]] = {
    "frame": TagReading.frame,
    "mains": TagReading.strung,
    "crosses": TagReading.strung,
    "strung": TagReading.work,
    **dict.fromkeys(("ties", "skips", "stencil", "ink"), TagReading.words),
    **dict.fromkeys(_WORDS, TagReading.figure),
}


def _odd(i: int, field: str, example: str) -> NotASetup:
    return NotASetup(i, f"'{field[:60]}' is nothing that belongs here.", f"It looks like {example}.")


def _given(name: str, text: str | None) -> dict[str, Any]:
    return {name: float(text)} if text is not None else {}


def _maker_and(key: str, text: str) -> dict[str, str]:
    maker, stroke, name = text.partition(" / ")
    return {"maker": maker, key: name} if stroke else {key: text}


_BOTH: Final[Mapping[str, tuple[str, str]]] = {
    "head": ("head_length_mm", "head_width_mm"),
    "handle": ("handle_length_mm", "handle_width_mm"),
    "spaced": ("main_spacing_mm", "cross_spacing_mm"),
}


def _dimension(field: str, geometry: dict[str, Any]) -> bool:
    """Put one of the model's dimensions into its geometry; whether it is one."""
    if found := re.fullmatch(rf"(head|handle|spaced) ({_NUMBER})x({_NUMBER})", field):
        geometry |= dict(zip(_BOTH[found[1]], (float(found[2]), float(found[3])), strict=True))
    elif found := re.fullmatch(rf"head ({_NUMBER})cm2", field):
        geometry["head_area_cm2"] = float(found[1])
    elif found := re.fullmatch(rf"rim ({_NUMBER})", field):
        geometry["rim_mm"] = float(found[1])
    elif found := re.fullmatch(r"throat (open|shaft)", field):
        geometry["throat"] = found[1]
    return found is not None


def _of_string(i: int, field: str) -> dict[str, Any]:
    """``1.25mm polyester 1.69g/m``."""
    found = re.fullmatch(rf"(?:({_NUMBER})mm |(\S+)ga )?([a-z]+)(?: ({_NUMBER})g/m)?", field)
    if not found or found[3] not in get_args(Material):
        raise _odd(i, field, "'1.25mm polyester 1.69g/m'")
    gauge = _given("gauge_mm", found[1]) | ({"gauge_number": found[2]} if found[2] else {})
    return {**gauge, "material": found[3], **_given("mass_per_length_g_m", found[4])}


def _pulled(i: int, fields: list[str]) -> dict[str, Any]:
    """``51lb``, and how far the string was stretched first."""
    found = re.fullmatch(rf"({_NUMBER})(lb|kg)", fields[0]) if fields else None
    if not found:
        raise NotASetup(i, "No tension stands where one is needed.", worded(_STRUNG))
    pull, unit = float(found[1]), found[2]
    pounds, kilograms = (pull, round(pull * _LB_IN_KG, 2)) if unit == "lb" else (round(pull / _LB_IN_KG, 2), pull)
    said: dict[str, Any] = {"pull_tension_lb": pounds, "pull_tension_kg": kilograms, "tension_written_in": unit}
    for field in fields[1:]:
        stretch = re.fullmatch(rf"stretch ({_NUMBER})%", field)
        if not stretch:
            raise _odd(i, field, "'stretch 10%'")
        said["prestretch_percent"] = float(stretch[1])
    return said
