"""What is said of a player, a frame model, a string or a frame that is not there yet: read from a line. Pure.

Who reads a line says what is lacking, so that a person is asked for that alone.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, get_args

from pydantic_core import PydanticCustomError

from passport.records.language.worded import worded
from passport.records.schema.as_printed import read_area, read_gauge
from passport.records.schema.catalogue import Material, Sport
from passport.records.schema.quantities import tidy
from passport.workshop.entry.naming import folded
from passport.workshop.entry.phrases import Unclear, in_words

_BETWEEN: Final = re.compile(r"\s*;\s*|\s*(?<![0-9]),\s*|\s*,(?![0-9])\s*")
"""A comma between two digits is a decimal one."""
_FIGURE = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_PHONE = re.compile(r"\+?[0-9][0-9 ()/.\-]{4,30}")

MATERIALS: Final[Mapping[str, Material]] = {
    "polyester": "polyester", "poly": "polyester", "copoly": "polyester", "copolyester": "polyester",
    "poliester": "polyester", "monofilament": "polyester", "mono": "polyester",
    "nylon": "nylon", "multi": "nylon", "multifilament": "nylon", "syntheticgut": "nylon", "syngut": "nylon",
    "synthetic": "nylon", "polyamide": "nylon", "polyamid": "nylon", "multifilamento": "nylon",
    "gut": "gut", "naturalgut": "gut", "darm": "gut", "naturdarm": "gut", "boyau": "gut", "boyaunaturel": "gut",
    "tripa": "gut", "tripanatural": "gut",
    "aramid": "aramid", "aramide": "aramid", "aramida": "aramid",
    "other": "other",
}  # fmt: skip
"""What people call a string's material, folded: in English, German, French and Spanish (common practice, no source)."""
SPORTS: Final[Mapping[str, Sport]] = {
    "tennis": "tennis", "tenis": "tennis", "squash": "squash", "badminton": "badminton", "federball": "badminton",
    "racketball": "racketball", "racquetball": "racketball", "squash57": "racketball",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class NewString:
    """A string that the catalogue has not: the four things that its packet says. ``gauge`` is as it is written down."""

    maker: str = ""
    name: str = ""
    gauge: str = ""
    material: str = ""

    @property
    def lacking(self) -> tuple[str, ...]:
        """What is still to be said, in the order of the packet."""
        return tuple(key for key in ("maker", "name", "gauge", "material") if not getattr(self, key))


@dataclass(frozen=True, slots=True)
class NewModel:
    """A frame model that the catalogue has not: what is printed on it. ``head`` is its size with the unit."""

    maker: str = ""
    name: str = ""
    sport: str = ""
    head: str = ""

    @property
    def lacking(self) -> tuple[str, ...]:
        """What is still to be said."""
        return tuple(key for key in ("maker", "name", "sport", "head") if not getattr(self, key))


@dataclass(frozen=True, slots=True)
class NewPlayer:
    """A player who is not there yet. ``name`` stands on the page; ``full_name`` and how to reach the player stay private."""

    name: str
    full_name: str = ""
    language: str = ""
    email: str = ""
    phone: str = ""
    plays_a_week: str = ""


@dataclass(frozen=True, slots=True)
class NewFrame:
    """A frame that is not there yet: whose it is (the player's folder), its model in the catalogue, what it is called."""

    player: str
    model: str
    label: str
    grip: str = ""
    serial: str = ""


def fields_of(line: str) -> list[str]:
    """What stands between commas or semicolons; a comma between two digits is a decimal one."""
    return [field for field in (" ".join(one.split()) for one in _BETWEEN.split(line)) if field]


def string_of(line: str) -> NewString:
    """A string said in a line: ``maker, name, gauge, material``, gauge and material in any place. Raises `Unclear`."""
    said: dict[str, str] = {}
    words: list[str] = []
    for field in fields_of(line):
        if "material" not in said and (material := material_of(field)):
            said["material"] = material
        elif "gauge" not in said and (gauge := gauge_of(field)):
            said["gauge"] = gauge
        else:
            words.append(field)
    return NewString(**_named(words, line, "maker, name, gauge, material"), **said)


def model_of(line: str) -> NewModel:
    """A frame model said in a line: ``maker, model, sport, head size``, sport and size in any place. Raises `Unclear`."""
    said: dict[str, str] = {}
    words: list[str] = []
    for field in fields_of(line):
        if "sport" not in said and folded(field) in SPORTS:
            said["sport"] = SPORTS[folded(field)]
        elif "head" not in said and (len(words) > 1 or not _FIGURE.fullmatch(field)) and (head := head_of(field)):
            said["head"] = head
        else:
            words.append(field)
    if len(words) == 3 and "head" not in said:
        raise Unclear(
            worded(
                "'{words}' is no head size. Write it as it is printed, as in '100 sq in' or '500 cm2'.", words=words[2]
            )
        )
    return NewModel(**_named(words, line, "maker, model, sport, head size"), **said)


def material_of(text: str) -> str:
    """The catalogue's word for a material; empty where it is none."""
    return MATERIALS.get(folded(text), "")


def gauge_of(text: str) -> str:
    """A thickness as a record has it: a bare ``1.25`` is in mm, ``17`` and ``16L`` are gauge numbers; empty for others."""
    bare = tidy(text)
    if re.fullmatch(r"[0-2][.,][0-9]{1,3}", bare):
        bare = f"{bare.replace(',', '.')} mm"
    try:
        read_gauge(bare)
    except PydanticCustomError:
        return ""
    return bare


def head_of(text: str) -> str:
    """A head's size as a record has it; a bare figure is in sq in up to 170 and in cm² from 200, as no head is both."""
    bare = tidy(text)
    if _FIGURE.fullmatch(bare):
        bare = f"{bare} sq in" if float(bare.replace(",", ".")) < 185 else f"{bare} cm2"
    try:
        read_area(bare)
    except PydanticCustomError:
        return ""
    return bare


def gauge_read(text: str) -> str:
    """A thickness as a record has it. Raises `Unclear` where it is none."""
    if found := gauge_of(text):
        return found
    raise Unclear(
        worded("'{text}' is no gauge. Write the mm on the packet, as in '1.25', or its number, '17'.", text=text)
    )


def material_read(text: str) -> str:
    """The catalogue's word for a material. Raises `Unclear` where it is none."""
    if found := material_of(text):
        return found
    raise Unclear(
        worded(
            "'{text}' is no material here. Write one of: {fromkeys}.",
            text=text,
            fromkeys=", ".join(dict.fromkeys(MATERIALS.values())),
        )
    )


def sport_of(text: str) -> str:
    """The catalogue's word for a sport. Raises `Unclear` where it is none."""
    if folded(text) in SPORTS:
        return SPORTS[folded(text)]
    raise Unclear(
        worded("'{text}' is no sport here. Write one of: {get_args}.", text=text, get_args=", ".join(get_args(Sport)))
    )


def reach_of(text: str) -> tuple[str, str]:
    """E-mail address and telephone of what somebody says of how to reach them, one or both. Raises `Unclear`."""
    email = phone = ""
    for field in re.split(r"\s*[,;]\s*", text.strip()):
        if "@" in field and not email:
            if not re.fullmatch(r"[^@\s]+@[^@\s]+\.[^@\s.]+", field):
                raise Unclear(worded("'{field}' is no e-mail address.", field=field))
            email = field
        elif _PHONE.fullmatch(field) and not phone:
            phone = field
        elif field:
            raise Unclear(
                worded(
                    "'{field}' is neither an e-mail address nor a telephone number. Write one, or both with a comma.",
                    field=field,
                )
            )
    return email, phone


def head_read(text: str) -> str:
    """A head's size as a record has it. Raises `Unclear`."""
    if head := head_of(text):
        return head
    try:
        read_area(text)
    except PydanticCustomError as error:
        raise Unclear(in_words(error)) from None
    raise Unclear(worded("'{text}' is no head size.", text=text))


def _named(words: Sequence[str], line: str, form: str) -> dict[str, str]:
    if len(words) > 2:
        raise Unclear(
            worded("'{line}' has more in it than {form}. Write these four with commas between.", line=line, form=form)
        )
    return dict(zip(("maker", "name"), words, strict=False))
