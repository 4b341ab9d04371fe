"""Every kind of printed piece of an invented frame, and of each extreme, for the tests."""

from dataclasses import replace
from functools import cache

from cardfacts import EXTREMES, FRAME, SHOP, specs

from passport.render.print.card import card_pdf
from passport.render.print.setcard import set_pdf
from passport.render.print.sticker import sticker_pdf, wrap_pdf
from passport.render.print.tag import tag_pdf
from passport.workshop.facts.facts import EqualityFacts, GroupFacts, PlayerFacts, ShopFacts

KINDS = ("card", "tag", "sticker", "round", "wrap", "set")


def twins(count: int = 3, frame=FRAME) -> tuple[PlayerFacts, GroupFacts]:
    """A player with a matched set of ``count`` frames that differ by a few tenths."""
    frames = tuple(
        replace(
            frame, number=f"{2001 + i}-{i}", label=f"{frame.label} {i}", specs=specs(
                (152.4 + 0.1 * i, 152.0, 1.0, "inside"), (352.5, 352.0, 2.0, "inside"),
                (164.9 - 0.5 * i, 164.0, 1.5, "inside"), (None, None, 0.5, "open"),
            ),
        )
        for i in range(count)
    )  # fmt: skip
    equality = tuple(
        EqualityFacts(name, tuple((f.number, f.spec(name).value) for f in frames), spread, tolerance)
        for name, spread, tolerance in (
            ("mass", 0.1 * (count - 1), 1.0), ("balance", 0.0, 2.0), ("swingweight", 0.5 * (count - 1), 1.5),
            ("twistweight", None, 0.5),
        )
    )  # fmt: skip
    group = GroupFacts("Match set", True, frames, equality)
    return PlayerFacts("PLAYER" + "A" * 20, frame.player, frame.language, (group,), ()), group


@cache
def made(kind: str, extreme: str = "ordinary", bleed: bool = False, language: str = "en") -> bytes:
    """A piece of one kind, of one of the extremes, for a player of some language."""
    frame, shop = EXTREMES[extreme]
    frame = replace(frame, language=language)
    if kind == "set":
        player, group = twins(3, frame)
        return set_pdf(player, group, shop, bleed=bleed)
    if kind in ("sticker", "round"):
        return sticker_pdf(frame, shop, circular=kind == "round", bleed=bleed)
    return {"card": card_pdf, "tag": tag_pdf, "wrap": wrap_pdf}[kind](frame, shop, bleed=bleed)


def shop() -> ShopFacts:
    """The ordinary shop."""
    return SHOP
