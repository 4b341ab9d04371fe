"""The drawings and charts of a page, made from its facts."""

from collections.abc import Sequence

from passport.bench.facts import FrameFacts, GroupFacts, PartFacts
from passport.render.fitted import Kind, Piece, number_pieces
from passport.render.formats import Formats
from passport.render.palette import CSS_PAINT, Paint
from passport.render.racquet import draw

_KINDS: dict[str, Kind] = {
    "tape": "tape",
    "silicone": "silicone",
    "sleeve": "sleeve",
    "putty": "putty",
    "base grip": "grip",
    "overgrip": "grip",
}


def drawn_piece(part: PartFacts) -> Piece:
    """A fitted part as the drawing takes it."""
    return Piece(
        kind=_KINDS.get(part.kind, "other"),
        from_mm=part.from_mm,
        to_mm=part.to_mm,
        clock=part.hour,
        length_mm=part.length,
        mass_g=part.mass or 0.0,
        label=part.name,
    )


def numbered(frame: FrameFacts) -> tuple[tuple[int, PartFacts], ...]:
    """The fitted parts with the numbers that the drawing gives them."""
    parts = {id(piece): part for piece, part in ((drawn_piece(p), p) for p in frame.parts)}
    pieces = [drawn_piece(p) for p in frame.parts]
    parts = dict(zip(map(id, pieces), frame.parts, strict=True))
    return tuple((number, parts[id(piece)]) for number, piece in number_pieces(frame.shape, pieces))


def racquet_figure(frame: FrameFacts, f: Formats, *, paint: Paint = CSS_PAINT, pieces: Sequence[Piece] = ()) -> str:
    """The racquet to scale with its fitted parts, its balance point and the swingweight axis."""
    balance = frame.spec("balance").value
    shown = pieces or [drawn_piece(p) for p in frame.parts]
    listed = "; ".join(f"{n}: {p.name}, {p.place}, {f.mass(p.mass)}" for n, p in numbered(frame))
    return draw(
        frame.shape,
        shown,
        paint=paint,
        title=f"{frame.maker} {frame.model}",
        desc=f"{frame.shape.mains} × {frame.shape.crosses}. {listed}",
        key=f"racquet-{frame.number}",
        hybrid=bool(frame.stringing and frame.stringing.hybrid),
        balance_mm=balance,
        balance_text=f.mm(balance) if balance else "",
    )


def frame_figures(frame: FrameFacts, f: Formats) -> dict[str, str]:
    """All figures of a frame's page by name: ``racquet``, ``target``, ``history``."""
    return {"racquet": racquet_figure(frame, f), "target": "", "history": ""}


def equality_figure(group: GroupFacts, f: Formats, key: str) -> str:
    """How equal the frames of a group are."""
    return ""
