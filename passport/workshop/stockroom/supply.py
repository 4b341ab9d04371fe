"""What the book of the stock says to a plan: what is gone, and whether what the plan takes is there."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from passport.physics.uncertainty import Estimate
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content, records_of
from passport.records.schema.catalogue import FrameModel, Part
from passport.records.schema.frame import Stringing
from passport.records.stockroom.amount import Measure, told
from passport.workshop.stockroom.use import Remainder, UseBook, cut_lengths


class Enough(str):
    """A sentence that says there is enough."""

    __slots__ = ()


@dataclass(frozen=True)
class StockSupply:
    """All that is in the book, of one workshop; nothing where no book is kept.

    ``book`` is what all jobs took, where ``content`` holds a part of its players only.
    """

    content: Content
    book: UseBook | None = None

    @cached_property
    def left(self) -> Mapping[str, tuple[Remainder, ...]]:
        """What is left of each lot, by the string or part that it is of."""
        if not self.content.lots:
            return {}
        book, found = self.book or UseBook.of(self.content), dict[str, tuple[Remainder, ...]]()
        for entry in self.content.lots.values():
            found[entry.record.of] = (*found.get(entry.record.of, ()), book.left(entry.record))
        return found

    def gone(self, of: str) -> bool:
        """Whether nothing is left of something that the book knows, as surely as it knows."""
        return of in self.left and all(each.amount.value + 2 * each.amount.u <= 0 for each in self.left[of])

    @cached_property
    def parts(self) -> dict[str, Part]:
        """The catalogue's parts; those of which nothing is left are out of stock."""
        parts = records_of(self.content.parts)
        return {n: p.model_copy(update={"stock": "none by the book"}) if self.gone(n) else p for n, p in parts.items()}

    def of_materials(self, needed: Mapping[str, float]) -> Iterator[str]:
        """A sentence for each material of which the book knows how much there is; ``needed`` is g by part."""
        for name, grams in needed.items():
            part = self.content.parts[name].record
            amounts: dict[Measure, float] = {"g": grams, "pieces": 1.0}
            if part.per_length:
                amounts["m"] = grams / part.per_length.value
            yield from self._against(name, part.name, amounts)

    def of_pieces(self, fitted: Iterable[str]) -> Iterator[str]:
        """The same for parts that are fitted whole."""
        named = list(fitted)
        for name in dict.fromkeys(named):
            yield from self._against(name, self.content.parts[name].record.name, {"pieces": named.count(name)})

    def of_strings(self, stringing: Stringing, model: FrameModel, times: int = 1) -> Iterator[str]:
        """The same for the strings of a stringing, whatever the batch, put into so many frames."""
        strings = records_of(self.content.strings)
        cut = cut_lengths(stringing, model, strings)
        mains, crosses = stringing.both
        same = mains.string == crosses.string
        for i, strung in enumerate((mains,) if same else (mains, crosses)):
            metres = (sum(e.value for e in cut) if same else cut[i].value) if cut else None
            amounts: dict[Measure, float] = {"pieces": times * (1.0 if same else 0.5)}
            if metres is not None:
                amounts["m"] = times * metres
            yield from self._against(strung.string, strings[strung.string].name, amounts)

    def _against(self, of: str, name: str, needed: Mapping[Measure, float]) -> Iterator[str]:
        lots = self.left.get(of, ())
        for measure in dict.fromkeys(each.measure for each in lots):
            if measure not in needed:
                continue
            own = [each for each in lots if each.measure == measure]
            best = max(own, key=lambda each: each.amount.value).amount
            whole = Estimate(sum(max(0.0, e.amount.value) for e in own), sum(e.amount.u for e in own))
            # A string is cut from one reel; everything else adds up.
            have = best if of in self.content.strings and measure == "m" else whole
            said = {"name": name, "need": told(needed[measure], measure), "there": told(max(0.0, have.value), measure)}
            if have.value < needed[measure]:
                text = unsaid("Not enough in stock: {name}, {there} by the book, and {need} are needed.")
            elif have.value - 2 * have.u < needed[measure]:
                text = unsaid("Perhaps not enough in stock: {name}, about {there} by the book, and {need} are needed.")
            else:
                yield Enough(worded("In stock by the book: {name}, {there}; {need} are needed.", **said))
                continue
            yield worded(text, **said)
