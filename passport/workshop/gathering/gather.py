"""Records to facts: the private fields are cut off first, then each frame and player becomes what its page says."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.route import Route, tie_words
from passport.physics.uncertainty import Estimate, conformity
from passport.records.load import Content, Entry, records_of
from passport.records.masses import fitted_mass, linear_density, strip_count
from passport.records.schema.base import UNKNOWN
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Fitted, Frame, HandleBuild, Job, Stencil, Stringing, Strung
from passport.records.schema.player import Player
from passport.records.schema.quantities import Quantity
from passport.records.schema.visibility import redacted
from passport.records.schema.workshop import READY, InstrumentKind, Method, Workshop
from passport.records.strung.strungpath import ToldPath, against_warranty, spelled_out, told_path
from passport.records.strung.zonedpulls import zone_pulls, zone_spans
from passport.records.timeline import Step, now, steps
from passport.records.yaml.yamltext import Source
from passport.workshop.facts import sources
from passport.workshop.facts.bedfacts import BatchFacts
from passport.workshop.facts.facts import (
    EqualityFacts,
    FrameFacts,
    GroupFacts,
    HandleFacts,
    HeadCheck,
    JobFacts,
    MethodFacts,
    PageFacts,
    PartFacts,
    PhotoFacts,
    PlayerFacts,
    QuantityName,
    RepairFacts,
    ShopFacts,
    SiteFacts,
    SpecFacts,
    StringingFacts,
    StringPulls,
    StrungFacts,
    Successor,
    TwinFacts,
    ZoneFacts,
    languages_of,
    tuning_mass,
)
from passport.workshop.measuring.assumed import Assumptions
from passport.workshop.measuring.causes import difference
from passport.workshop.measuring.instruments import Instruments, check_in_force
from passport.workshop.measuring.placement import lay, sideways
from passport.workshop.measuring.readings import latest, measured, with_readings
from passport.workshop.measuring.specs import QUANTITIES, Judge
from passport.workshop.strings.batches import Batch, batch_facts, batches, worth_showing
from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.fingerprint import fingerprint
from passport.workshop.strings.reader import BedReader
from passport.workshop.strings.string_facts import with_life
from passport.workshop.strings.string_priors import StringPriors


def public(content: Content) -> Content:
    """The same content without any private field and without the texts that the records were read from."""

    def cut(table: Mapping[str, Entry]) -> dict[str, Entry]:  # type: ignore[type-arg]
        return {name: Entry(name, redacted(e.record), Source("")) for name, e in table.items()}

    shop = content.workshop
    return replace(
        content,
        workshop=Entry("workshop", redacted(shop.record), Source("")) if shop else None,
        strings=cut(content.strings),
        models=cut(content.models),
        parts=cut(content.parts),
        lots={},
        players=cut(content.players),
        frames=cut(content.frames),
        blanks=cut(content.blanks),
    )


def site_facts(content: Content, priors: StringPriors | None = None) -> SiteFacts:
    """Everything that the public site says of this content, which must be free of errors.

    ``priors`` is what all beds of the workshop told, where ``content`` holds a part of its players only.
    """
    return gatherer_of(content, priors).site()


def gatherer_of(content: Content, priors: StringPriors | None = None) -> "Gatherer":
    """What turns the public part of some content into facts."""
    return Gatherer(public(content), priors, secrets_of(content))


def secrets_of(content: Content) -> dict[str, str]:
    """The secrets of the sealed frames by their names: what is sealed with them, and printed codes, need them."""
    return {name: e.record.secret for name, e in content.frames.items() if e.record.sealed}


@dataclass
class Gatherer:
    """Turns the records of one content into facts; give it `public` content for anything that leaves the bench."""

    content: Content
    priors: StringPriors | None = None
    secrets: Mapping[str, str] = field(default_factory=dict, repr=False)
    """Those of the sealed frames by name, which `public` content does not have any more; see `secrets_of`."""

    _specs: dict[str, tuple[SpecFacts, ...]] = field(default_factory=dict, repr=False)

    def site(self) -> SiteFacts:
        """The facts of all frames and players that have a key."""
        frames = tuple(self.frame(name) for name, e in self.content.frames.items() if e.record.key)
        pages = tuple(PageFacts(p.slug, p.text) for p in self.content.pages.values())
        return SiteFacts(self.shop, frames, tuple(self.players(frames)), pages)

    @cached_property
    def workshop(self) -> Workshop:
        """The workshop's record."""
        assert self.content.workshop, "content without a workshop is refused before facts are gathered"
        return self.content.workshop.record

    @cached_property
    def parts(self) -> dict[str, Part]:
        """The catalogue's parts by name."""
        return records_of(self.content.parts)

    @cached_property
    def strings(self) -> dict[str, StringType]:
        """The catalogue's strings by name."""
        return records_of(self.content.strings)

    @cached_property
    def book(self) -> BedBook:
        """The workshop's string beds."""
        return BedBook(self.content, self.priors)

    @cached_property
    def reader(self) -> BedReader:
        """The workshop's reader of string beds."""
        return BedReader.of(self.workshop)

    @cached_property
    def batches(self) -> tuple[Batch, ...]:
        """All frames that were strung in one go."""
        return batches(self.book, self.content)

    @cached_property
    def judge(self) -> Judge:
        """What frames are judged by."""
        shop = self.workshop
        instruments, assumed = Instruments.of(shop), Assumptions.of(shop)
        return Judge(self.content, shop.tolerances, instruments, self.parts, self.strings, assumed)

    def specs(self, name: str) -> tuple[SpecFacts, ...]:
        """The four quantities of a frame, ``player/frame``, against its targets; worked out once."""
        if name not in self._specs:
            frame = self.content.frames[name].record
            model, done = self.content.models[frame.model].record, steps(frame, self.parts)
            self._specs[name] = tuple(self.judge.specs(frame, model, done))
        return self._specs[name]

    @cached_property
    def shop(self) -> ShopFacts:
        """The workshop as it is shown."""
        w = self.workshop
        c, look, said = w.contact, w.look, w.look.texts
        look_texts = (said.footer, said.passport, said.lost)
        accent, second = READY[look.ready or "weave"]
        return ShopFacts(
            w.name, w.tagline, w.address, w.language, c.email, c.phone, c.visit, c.hours, w.since,
            look.accent or accent, look.second or second,
            look.logo, (look.fonts.text, look.fonts.strong, look.fonts.display), *look_texts, tuple(_checked(w)),
            w.units.tension or "", c.ask, w.two_languages, look.ready or "",
        )  # fmt: skip

    def frame(self, name: str) -> FrameFacts:
        """The facts of one frame, ``player/frame``, with the life of its strings."""
        player = self.content.players[name.partition("/")[0]].record
        return with_life(self.recipe(name), self.book, player, self.workshop.restring)

    def recipe(self, name: str) -> FrameFacts:
        """The facts of one frame without the life of its strings, which takes the sums of a whole workshop."""
        frame = self.content.frames[name].record
        model = self.content.models[frame.model].record
        player = self.content.players[name.partition("/")[0]].record
        former = self._former(name, frame)
        done = steps(frame, self.parts)
        jobs = tuple(self._job(step, model, player) for step in done)
        holding = now(frame, self.parts)
        held = holding.parts
        beds = with_readings(jobs)
        jobs = tuple(replace(j, stringing=beds.get(i)) for i, j in enumerate(jobs))
        shown = jobs if player.shows.history else ()
        bed = next((j.stringing for j in reversed(jobs) if j.stringing), None)
        return FrameFacts(
            name=name,
            number=frame.number,
            key=frame.key,
            status=frame.status,
            language=languages_of(player.language, self.workshop.language),
            player=player.name,
            player_key=player.key,
            label=frame.label,
            set=frame.set,
            sport=model.sport,
            maker=model.maker,
            model=model.name,
            serial=frame.serial if player.shows.serial else "",
            grip=frame.grip,
            since=frame.since,
            shape=model.shape(),
            colour=model.colour,
            tension_low=model.tension.low.value if model.tension and model.tension.low else None,
            tension_high=model.tension.high.value if model.tension else None,
            note=frame.setup.note,
            stringing=bed,
            specs=self.specs(name),
            parts=tuple(self._part(f, model.shape(), _since(f, done)) for f in held),
            nothing_fitted=not held and "build" in frame.model_fields_set,
            handle=_handle(holding.handle),
            sideways=self._sideways(name, held, model.shape()),
            jobs=shown,
            updated=jobs[-1].date if jobs else frame.since,
            plays_a_week=player.plays_a_week,
            successor=self._successor(frame),
            predecessor=self._pointer(former) if former and _may_name(frame, former.record) else None,
            photo=self._photo(name, frame) if player.shows.photos else None,
            twin=self._twin(former, player) if former and _may_name(frame, former.record) else None,
            sealed=frame.sealed,
            balance_unit=self._balance_unit(model),
            units=self._units(player),
            secret=self._secret(name, frame),
            sources=tuple(_frame_sources(frame)),
        )

    def _units(self, player: Player) -> str:
        """The unit of tensions that a player is shown first, as far as somebody chose one."""
        return player.units or self.workshop.units.tension or ""

    def _balance_unit(self, model: FrameModel) -> str:
        """The unit that a frame's balance is shown in where that is not mm; points need a length that is recorded."""
        unit = self.workshop.units.balance or "mm"
        return "" if unit == "mm" or (unit == "points" and model.length is None) else unit

    def players(self, frames: tuple[FrameFacts, ...], *, printed: bool = False) -> Iterator[PlayerFacts]:
        """The pages of all players who have a key; sealed frames are only counted there, unless it is for print."""
        for name, entry in self.content.players.items():
            player = entry.record
            if player.key:
                own = tuple(f for f in frames if f.name.partition("/")[0] == name)
                shown = own if printed else tuple(f for f in own if not f.sealed)
                yield replace(self._player(player, shown), sealed=len(own) - len(shown))

    def _player(self, player: Player, frames: tuple[FrameFacts, ...]) -> PlayerFacts:
        active = [f for f in frames if f.status == "active"]
        named: dict[tuple[bool, str], list[FrameFacts]] = {}
        for frame in active:
            named.setdefault((bool(frame.set), frame.set or frame.sport), []).append(frame)
        groups = tuple(
            GroupFacts(
                name, matched, tuple(group), tuple(self._equality(group, meant=matched)), self._batches(group, player)
            )
            for (matched, name), group in sorted(named.items(), key=lambda item: (not item[0][0], item[0][1]))
        )
        rest = tuple(f for f in frames if f.status != "active")
        language = languages_of(player.language, self.workshop.language)
        return PlayerFacts(player.key, player.name, language, groups, rest, units=self._units(player))

    def _batches(self, frames: list[FrameFacts], player: Player) -> tuple[BatchFacts, ...]:
        named = {f.name for f in frames}
        own = worth_showing(self.batches, named, past=player.shows.history)
        hidden = {name for name, e in self.content.frames.items() if e.record.sealed} - named
        told = (batch for batch in own if not any(m.bed.frame in hidden for m in batch.members))
        return tuple(batch_facts(batch, self.content) for batch in told)

    def _equality(self, frames: list[FrameFacts], *, meant: bool) -> Iterator[EqualityFacts]:
        for quantity in QUANTITIES:
            # mm that rest on a length that nobody recorded are compared with nothing
            found = [(f, s.value if (s := f.spec(quantity)).read_points is None else None) for f in frames]
            values = tuple((f.number, value) for f, value in found)
            known = sorted((value, f.name) for f, value in found if value is not None)
            spread = known[-1][0] - known[0][0] if len(known) > 1 else None
            tolerance = self.judge.tolerance(quantity)
            apart = self._apart(known[-1][1], known[0][1], quantity) if meant and spread is not None else None
            verdict = conformity(apart.value, apart.u, -2 * tolerance, 2 * tolerance).verdict if apart else "open"
            yield EqualityFacts(quantity, values, spread, tolerance, verdict)

    def _apart(self, high: str, low: str, quantity: QuantityName) -> Estimate | None:
        """How far apart two frames read, ``player/frame``, with what that hangs on."""
        one, other = (self._read(name, quantity) for name in (high, low))
        return difference(one, other) if one and other else None

    def _read(self, name: str, quantity: QuantityName) -> Estimate | None:
        frame = self.content.frames[name].record
        shape = self.content.models[frame.model].record.shape()
        return latest(steps(frame, self.parts), quantity, shape, self.judge.instruments)[0]

    def _job(self, step: Step, model: FrameModel, player: Player) -> JobFacts:
        job, shape = step.job, model.shape()
        stringing = self._stringing(job.strings, job, model, step.after.stencil) if job.strings else None
        names = {name: part.name for name, part in self.parts.items()}
        return JobFacts(
            date=job.date,
            stringing=stringing,
            fitted=tuple(self._part(f, shape, job.date) for f in job.fitted),
            removed=tuple((names.get(r.part, r.part), r.place) for r in job.removed),
            repairs=tuple(RepairFacts(r.what, names.get(r.part, r.part), r.where, r.note) for r in job.repairs),
            measured=tuple(measured(r, step, shape) for r in job.readings),
            note=job.note,
            felt=job.felt_on_page,
        )

    def _stringing(self, s: Stringing, job: Job, model: FrameModel, stencil: Stencil | None) -> StringingFacts:
        mains, crosses = s.both
        whole, run = spelled_out(s, model.pattern), told_path(s, model.pattern)
        pieces, knots = whole.worked_out
        told = dict(_told(whole, model, run))
        path = run.threaded if run.threaded and isinstance(run.threaded.route(), Route) else None
        return StringingFacts(
            date=job.date,
            mains=self._strung(mains),
            crosses=self._strung(crosses),
            hybrid=s.hybrid,
            pieces=pieces,
            knots=knots,
            mains_start=told["mains_start"][0],
            crosses_start=told["crosses_start"][0],
            skips=told["skips"][0],
            tie_offs=told["tie_offs"][0],
            way=_way(s, run),
            path=path,
            warranty=against_warranty(s, model.pattern),
            method=_method(self._bench_of(job), s, job.date),
            fingerprint=None if job.elsewhere else fingerprint(job, self.reader),
            zones=tuple(_zones(s)),
            string_pulls=_string_pulls(s, model),
            stencil=stencil.shape if stencil else "",
            ink=stencil.ink if stencil else "",
            sources=(
                *((("pieces", "worked out"),) if whole.pieces is None else ()),
                *((("knots", "worked out"),) if whole.knots is None else ()),
                *((("path", "worked out"),) if path and run.recorded else (("path", "model"),)),
                *((name, source) for name, (_, source) in told.items() if source != "recorded"),
            ),
        )

    def _bench_of(self, job: Job) -> Workshop:
        """The workshop's record, as far as it says how a job was done: of one that was done elsewhere it says nothing."""
        other = {"method": Method(), "instruments": ()} if job.elsewhere else {}
        return self.workshop.model_copy(update=other) if other else self.workshop

    def _strung(self, strung: Strung) -> StrungFacts:
        string = self.strings[strung.string]
        gauge = strung.gauge or string.gauge
        return StrungFacts(
            string=strung.string,
            name=string.name,
            maker=string.maker,
            material=string.material,
            colour=string.colour,
            gauge=gauge.value,
            tension=strung.tension.value,
            written=self.workshop.units.tension or strung.tension.text,
            prestretch=strung.prestretch.value if strung.prestretch else None,
            supply=strung.supply or "",
            batch=strung.batch,
            gauge_number=gauge.text.removesuffix("ga").strip() if gauge.unit == "ga" else "",
            sources=(
                ("material", "model"),
                ("colour", "model"),
                *(
                    (("gauge", "assumed"),)
                    if gauge.unit == "ga"
                    else (("gauge", "model"),)
                    if strung.gauge is None
                    else ()
                ),
                ("per_metre", "model" if string.weighed else "worked out"),
            ),
            per_metre=linear_density(string, strung),
        )

    def _part(self, fitted: Fitted, shape: RacquetShape, since: date | None) -> PartFacts:
        part = self.parts[fitted.part]
        length = fitted.length or part.covers
        low, high = fitted.place.extent(shape, length.value if length and fitted.place.hour is None else None)
        mass = fitted_mass(fitted, self.parts, shape.throat)
        if part.kind == "silicone" and mass and not length:  # as long as it fills the bore, not as long as the place is
            laid = lay(part.kind, fitted.place, mass, None, shape)
            low, high = laid.from_mm, laid.to_mm
        return PartFacts(
            name=part.name,
            kind=part.kind,
            material=part.material,
            place=fitted.place,
            from_mm=low,
            to_mm=high,
            length=length.value if length and (fitted.length or fitted.place.hour is not None) else high - low,
            mass=mass,
            count=strip_count(part.kind, fitted.place, shape.throat),
            since=since,
            sources=tuple(_part_sources(fitted, part, shape)),
            note=fitted.note,
        )

    def _sideways(self, name: str, held: tuple[Fitted, ...], shape: RacquetShape) -> float | None:
        """How far what lies on one side only moves the frame's middle of mass, mm; None where nothing does or it is unknown."""
        alone = [(f, fitted_mass(f, self.parts, shape.throat)) for f in held if f.place.side]
        whole = next(
            (s.forecast if s.value is None else s.value for s in self.specs(name) if s.quantity == "mass"), None
        )
        if not alone or not whole or any(mass is None for _, mass in alone):
            return None
        found = (sideways(f.place, m, f.length.value if f.length else None, shape) for f, m in alone if m is not None)
        return sum(found) / whole

    def _photo(self, name: str, frame: Frame) -> PhotoFacts | None:
        found, secret = self.content.photos.get(frame.photo), self._secret(name, frame)
        return (
            PhotoFacts(frame.photo, frame.photo_alt, found.width, found.height, found.mark, secret) if found else None
        )

    def _secret(self, name: str, frame: Frame) -> str:
        return self.secrets.get(name, "") if frame.sealed else ""

    def _successor(self, frame: Frame) -> Successor | None:
        other = self.content.by_number(frame.replaced_by) if frame.replaced_by else None
        if other is None:
            return None
        return self._pointer(other) if _may_name(frame, other.record) else Successor("", "", "")

    def _pointer(self, other: Entry[Frame]) -> Successor:
        frame = other.record
        return Successor(frame.number, frame.key, frame.label, self._secret(other.name, frame))

    def _former(self, name: str, frame: Frame) -> Entry[Frame] | None:
        """The same player's frame that this one was built to replace, by what either of the two says."""
        own = [e for e in self.content.frames_of(name.partition("/")[0]) if e.name != name and e.record.number]
        said = next((e for e in own if e.record.number == frame.rebuilds), None)
        return said or next((e for e in own if frame.number and e.record.replaced_by == frame.number), None)

    def _twin(self, former: Entry[Frame], player: Player) -> TwinFacts:
        """The former frame beside the one that took over: its last figures as it was played."""
        frame = former.record
        model = self.content.models[frame.model].record
        done = steps(frame, self.parts)
        held = done[-1].after.parts if done else frame.build
        strung = [job.stringing for step in done if (job := self._job(step, model, player)).stringing]
        tuning = tuning_mass(self._part(fitted, model.shape(), None) for fitted in held)
        bed, specs = strung[-1] if strung else None, self.specs(former.name)
        return TwinFacts(frame.number, frame.label, model.maker, model.name, bed, specs, tuning)


_PATTERN = ("mains_start", "crosses_start", "skips", "tie_offs")


def _told(s: Stringing, model: FrameModel, run: ToldPath) -> Iterator[tuple[str, tuple[str, sources.Source]]]:
    """How the frame was strung: as the job says; else as the maker's pattern asks, unless nobody knows if it was kept.

    Where one start follows from the other it is worked out; of the maker's tie-off holes only those that this string
    has an end for are told.
    """
    route = run.threaded.route() if run.threaded else None
    follows = route.strung if isinstance(route, Route) else run.way
    for name in _PATTERN:
        said = getattr(s, name, "")
        by_maker = (getattr(model.pattern, name) if model.pattern else None) or ""
        if said == UNKNOWN:
            yield name, ("", "absent")
        elif said:
            yield name, (said, "recorded")
        elif name == "tie_offs" and isinstance(route, Route) and run.threaded and run.threaded.ties:
            yield name, (tie_words(route), "model")
        elif not by_maker and getattr(follows, name, None):
            yield name, (getattr(follows, name), "worked out")
        else:
            yield name, (by_maker, "model")


def _method(shop: Workshop, s: Stringing, day: date) -> MethodFacts:
    """What a job says of its method, else what the workshop does, from the day on that it says."""
    usual, own = shop.method, s.method
    default = usual if usual.since is None or usual.since <= day else Method()

    def said(name: str) -> str:
        return getattr(own, name) or getattr(default, name) or ""

    dwell, more = own.dwell or default.dwell, own.tie_offs or default.tie_offs
    return MethodFacts(
        machine=said("machine"),
        speed=said("speed"),
        dwell=dwell.value if dwell else None,
        tie_offs=more.value if more else None,
        prestretch=said("prestretch"),
        start=said("start"),
        knots=said("knots"),
        crosses=said("crosses"),
        supports=said("supports"),
        head=_head_check(shop, s, day),
    )


def _head_check(shop: Workshop, s: Stringing, day: date) -> HeadCheck | None:
    """The check in force of the workshop's only tension head: of two nobody knows which one pulled."""
    heads = [one for one in shop.instruments if one.kind == "tension head"]
    pull = s.mains.tension.value
    check = check_in_force(heads[0].checks, day, "tension head", pull) if len(heads) == 1 else None
    if check is None or check.known is None:
        return None
    return HeadCheck(check.date, set=check.reads.value, pulled=check.known.value, written=check.reads.text)


def _zones(s: Stringing) -> Iterator[ZoneFacts]:
    """The strings that were pulled otherwise than the rest of their side."""
    tension = {"mains": s.both[0].tension.text, "crosses": s.both[1].tension.text}
    for zone, first, last in zone_spans(s):
        unit = s.zones.unit if s.zones and s.zones.unit != "%" else ""
        yield ZoneFacts(zone.of, zone.reach, zone.start, zone.stop, (first, last), unit or tension[zone.of])


def _string_pulls(s: Stringing, model: FrameModel) -> tuple[StringPulls, StringPulls] | None:
    """What each string is pulled with, where that differs and the counts are known."""
    if s.zones is None or model.pattern is None:
        return None
    mains, crosses = zone_pulls(s, model.pattern)
    return tuple(mains.items()), tuple(crosses.items())


def _handle(handle: HandleBuild) -> HandleFacts | None:
    """What was written down of how the handle is built up; None where that is nothing."""

    def mm(length: Quantity | None) -> float | None:
        return length.value if length else None

    h = handle
    found = HandleFacts(
        mm(h.circumference), (h.over or "") if h.circumference else "", h.shape, h.sleeves, h.wound or "", h.wound_from or "",
        mm(h.overlap), mm(h.covered),
    )  # fmt: skip
    return found if found != HandleFacts() else None


def _way(s: Stringing, run: ToldPath) -> str:
    """The way that was told, or the name that the workshop gave its own; empty where only pieces are known."""
    if run.way.way == "own" and s.path:
        return s.path.variant
    return run.way.way if run.way.way in ("around the world", "box") else ""


def _part_sources(fitted: Fitted, part: Part, shape: RacquetShape) -> Iterator[tuple[str, sources.Source]]:
    """The fields of a fitted part that its entry in the record does not hold itself."""
    yield "material", "model"
    if not fitted.mass:
        yield "mass", "worked out" if part.per_length and fitted.length else "model"
    if not fitted.length:
        yield "length", "assumed"
    if not fitted.place.span:
        # an hour is geometry, a named place is where such things usually lie
        source: sources.Source = (
            "assumed" if fitted.place.hour is None or shape.is_assumed("length", "rim", "aspect") else "worked out"
        )
        yield from (("from_mm", source), ("to_mm", source))


def _frame_sources(frame: Frame) -> Iterator[tuple[str, sources.Source]]:
    """The fields of a frame that are not in its own record."""
    yield from (
        (name, "model") for name in ("sport", "maker", "model", "shape", "colour", "tension_low", "tension_high")
    )
    if "status" not in frame.model_fields_set:
        yield "status", "assumed"


def _may_name(frame: Frame, other: Frame) -> bool:
    """Whether a page may name another frame: a sealed one only where it is sealed itself."""
    return frame.sealed or not other.sealed


def _checked(shop: Workshop) -> Iterator[tuple[InstrumentKind, date]]:
    """When each kind of instrument was last checked, where the shop wishes to show it."""
    newest: dict[InstrumentKind, date] = {}
    for instrument in shop.instruments if shop.show_checks else ():
        for check in instrument.checks:
            newest[instrument.kind] = max(check.date, newest.get(instrument.kind, check.date))
    yield from newest.items()


def _since(fitted: Fitted, done: tuple[Step, ...]) -> date | None:
    return next((step.job.date for step in reversed(done) if fitted in step.job.fitted), None)
