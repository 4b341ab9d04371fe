"""A plan on the drawing of the racquet, for a screen that follows the reader's light or dark."""

from dataclasses import dataclass

from markupsafe import Markup

from passport.render.drawing.fitted import DrawnPart, Kind, number_pieces
from passport.render.drawing.racquet import PAGE, Balance, Caption, draw
from passport.render.theme.formats import Formats
from passport.render.theme.palette import CSS_PAINT
from passport.workshop.rebuild.plan import Addition, Plan, Rebuild

_KINDS: dict[str, Kind] = {"tape": "tape", "silicone": "silicone", "putty": "putty"}


@dataclass(frozen=True, slots=True)
class PlanPicture:
    """The racquet with the pieces of a plan, and those pieces by their numbers on it."""

    svg: Markup
    rows: tuple[tuple[int, Addition], ...]

    def number(self, piece: Addition | None) -> int | None:
        """The number that a piece has on the drawing; None for one that is not on it."""
        places = {row.place: number for number, row in self.rows}
        return places.get(piece.place) if piece else None


def plan_picture(found: Rebuild, plan: Plan, f: Formats, *, key: str, title: str) -> PlanPicture:
    """The racquet with what a plan adds, and the balance that is wanted; ``key`` tells it from others on the screen."""
    drawn = [_drawn(piece) for piece in plan.additions]
    of = dict(zip(map(id, drawn), plan.additions, strict=True))
    rows = tuple((number, of[id(one)]) for number, one in number_pieces(found.shape, drawn))
    aim = found.aim("balance")
    balance = Balance(aim.target, f.balance(aim.target, "", 0)) if aim else None
    desc = f.semicolon.join(
        f"{number}: {f.comma.join((piece.name, piece.place, f.mass(piece.mass_g)))}" for number, piece in rows
    )
    svg = draw(
        found.shape, drawn, PAGE, Caption(f"plan-{key}", title, desc), paint=CSS_PAINT, strung=True, balance=balance
    )
    return PlanPicture(Markup(svg), rows)


def _drawn(piece: Addition) -> DrawnPart:
    kind = _KINDS.get(piece.kind, "other")
    return DrawnPart(
        kind, piece.from_mm, piece.to_mm, piece.clock, piece.length_mm or 0.0, piece.mass_g, alone=piece.count == 1
    )
