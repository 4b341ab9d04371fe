"""A day at the bench in a browser, gone through as a person would: what each act takes in clicks, keys and milliseconds, and
the commands that write the same records."""

import io
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from commandline import EPOCH
from PIL import Image

LONGEST, BROADEST = 1300, 960
"""How much of a screen is photographed, and how large a picture is kept, px."""
LATER = int(EPOCH) + 900
"""When the browser's clock stands: fifteen minutes after every knot, which the bench ties at the day's own moment."""

WALK_IN = {
    "#player": "Mira T.",
    "#reach": "01632 960155",
    "#model": "Haldric, Fallowgate 98, tennis, 98 sq in",
    "#mains": "Gorse",
    "#mains_tension": "52 lb",
    "#promised": "friday",
}
STRING = {"#mains_maker": "Oxbow", "#mains_gauge": "1.30"}
"""What the packet of the unknown string says, besides its name."""
FIGURES = ("mass", "balance", "swingweight")
READINGS = {
    "mira-t/1": {"ring": "548", "mass": ""},
    "quintaval/dos": {"ring": "571", "mass": "321.6"},
    "wachtelberg/zwei": {"ring": "612", "mass": "168.2"},
}
"""What is read of the three frames of the day."""
OTHERS = {
    "records": "/records",
    "record": "/record?kind=player&name=askwell",
    "lot": "/record?kind=lot",
    "devices": "/devices",
    "photos": "/frame/askwell/i/photo",
    "history": "/history",
}
"""Screens that are photographed besides."""
COMMANDS = (
    ("walk-in", "Mira T.", "--reach", "01632 960155", "--frame", "Haldric, Fallowgate 98, tennis, 98 sq in",
     "--string", "Oxbow, Gorse, 1.30, polyester", "--tension", "52 lb", "--promised", "friday"),
    ("log", "mira-t/1", "--ordered", "--ring", "548 Hz", "--minutes", "15", "--no-build"),
    ("log", "quintaval/dos", "--ordered", "--ring", "571 Hz", "--minutes", "15", "--mass", "321.6 g", "--no-build"),
    ("log", "wachtelberg/zwei", "--ordered", "--ring", "612 Hz", "--minutes", "15", "--mass", "168.2 g", "--no-build"),
)  # fmt: skip
"""The day by commands, without the slip that was taken back."""


@dataclass
class ActTaken:
    """What one act took: ``waits`` are the milliseconds from each press to the screen that it leads to."""

    what: str
    clicks: int = 0
    keys: int = 0
    waits: list[float] = field(default_factory=list)


@dataclass
class Hand:
    """A hand at a page, which counts what it does."""

    page: object
    took: list[ActTaken] = field(default_factory=list)

    @contextmanager
    def act(self, what: str) -> Iterator[None]:
        """What is done inside is one act of the day."""
        self.took.append(ActTaken(what))
        yield

    def press(self, locator) -> None:
        """Click something that changes this screen."""
        self.took[-1].clicks += 1
        locator.click()

    def go(self, locator, there: Callable[[], None]) -> None:
        """Click something that leads to another screen, and wait until it stands."""
        self.took[-1].clicks += 1
        begun = time.perf_counter()
        locator.click()
        there()
        self.took[-1].waits.append(1000 * (time.perf_counter() - begun))

    def fill(self, selector: str, text: str) -> None:
        """Tap into a field and type."""
        self.took[-1].clicks += 1
        field_ = self.page.locator(selector)
        field_.click()
        field_.press_sequentially(text)
        self.took[-1].keys += len(text)

    def choose(self, selector: str, value: str) -> None:
        """Choose one of a list: a tap on it and one on the choice."""
        self.took[-1].clicks += 2
        self.page.locator(selector).select_option(value)


def _unseen(name: str) -> None:
    """Nobody looks."""


def day(page, base: str, seen: Callable[[str], None] = _unseen) -> list[ActTaken]:
    """Go through the day; ``seen`` is told the name of each screen worth a picture. What each act took."""
    hand = Hand(page)
    page.clock.set_fixed_time(LATER)
    with hand.act("open the bench"):
        begun = time.perf_counter()
        page.goto(f"{base}/")
        hand.took[-1].waits.append(1000 * (time.perf_counter() - begun))
    seen("rack")
    with hand.act("take in a walk-in with an unknown string"):
        _walk_in(hand, seen)
    for name, read in READINGS.items():
        with hand.act(f"restring {name}"):
            _restring(hand, name, read, seen if name == "quintaval/dos" else _unseen)
        with hand.act("print its card"):
            _card(hand)
        if name == "quintaval/dos":
            with hand.act("take a slip back"):
                _slip(hand, base, name, seen)
    return hand.took


def put_online(page, base: str, seen: Callable[[str], None] = _unseen) -> list[ActTaken]:
    """What waits is put on-line by the one button."""
    hand = Hand(page)
    with hand.act("put the passports on-line"):
        page.goto(f"{base}/")
        button = page.get_by_role("button", name="Put it on-line")
        hand.go(page.get_by_role("link", name="On-line", exact=True), button.wait_for)
        seen("online")
        hand.go(button, page.get_by_text("It is on-line now.").wait_for)
        seen("online-done")
    return hand.took


@dataclass
class Rebuilt:
    """What a rebuild at the screen took, on which blank, and what was read at each step, as the command takes it."""

    took: list[ActTaken]
    blank: str
    read: list[tuple[str, ...]]


def rebuilt(page, base: str, name: str, label: str, seen: Callable[[str], None] = _unseen) -> Rebuilt:
    """Rebuild a broken frame on the blank that the plans name, led through it, with the readings of each step: what the
    screen says that it should read, the first mass 0.2 g more, so that the rest is solved anew. Then its card."""
    hand = Hand(page)
    with hand.act(f"plan the rebuild of {name}"):
        page.goto(f"{base}/")
        hand.go(page.get_by_role("link", name="Rebuild", exact=True), page.locator("#gone").wait_for)
        seen("rebuild")
        works_out = page.get_by_role("button", name="Work out the plans")
        hand.go(page.locator(f"#content a[href='/frame/{name}/rebuild']"), works_out.wait_for)
        seen("rebuild-blanks")
        begin = page.get_by_role("link", name="Begin the work")
        hand.go(works_out, begin.wait_for)
        seen("rebuild-plans")
        hand.go(begin, page.locator("#next").wait_for)
    blank = urlsplit(page.url).path.rpartition("/")[2]
    with hand.act("do and read each step"):
        read = list(_steps(hand, seen))
    with hand.act("give it its passport"):
        label_field = page.locator("#label")
        hand.go(page.get_by_role("link", name="Give it its passport"), label_field.wait_for)
        label_field.fill("")
        hand.fill("#label", label)
        again = page.get_by_role("button", name="Save it all the same")
        card = page.get_by_role("link", name="Card to print")
        hand.go(page.get_by_role("button", name="Give it its passport"), card.or_(again).first.wait_for)
        if again.is_visible():
            hand.go(again, card.wait_for)
        seen("rebuild-twin")
    with hand.act("print its card"):
        _card(hand)
    return Rebuilt(hand.took, blank, read)


def _steps(hand: Hand, seen: Callable[[str], None]) -> Iterator[tuple[str, ...]]:
    """Each step done and read; the words that the command takes for it."""
    page = hand.page
    built = page.get_by_role("link", name="Give it its passport")
    while not built.is_visible():
        form = page.locator("#step")
        step, once = (form.locator(f"input[name={name}]").first.get_attribute("value") for name in ("step", "once"))
        after = form.locator(".step-after b")
        read = [words.split()[0] for words in after.inner_text().split(" · ")] if after.count() else []
        if read and step == "1":
            read[0] = f"{float(read[0]) + 0.2:.1f}"
        if step == "2":
            seen("rebuild-step")
        for name, text in zip(FIGURES, read, strict=False):
            hand.fill(f"#{name}", text)
        # The next screen is another form, with a mark of its own, or the end.
        there = built.or_(page.locator(f"#step input[name=once]:not([value='{once}'])")).first
        hand.go(form.get_by_role("button", name="Done", exact=True), partial(there.wait_for, state="attached"))
        yield ("--read", f"{step}: {' '.join(read)}") if read else ("--done", str(step))


def _walk_in(hand: Hand, seen: Callable[[str], None]) -> None:
    page = hand.page
    hand.go(page.get_by_role("link", name="Walk-in"), page.locator("#player").wait_for)
    for selector, text in WALK_IN.items():
        if selector == "#reach":
            page.locator("#reach").wait_for()  # what is new gets its fields in place
        hand.fill(selector, text)
    page.locator("#mains_maker").wait_for()
    for selector, text in STRING.items():
        hand.fill(selector, text)
    hand.choose("#mains_material", "polyester")
    page.wait_for_load_state("networkidle")
    seen("walk-in")
    hand.go(page.get_by_role("button", name="Save", exact=True), _saved(hand))


def _restring(hand: Hand, name: str, read: dict[str, str], seen: Callable[[str], None]) -> None:
    page = hand.page
    hand.go(page.get_by_role("link", name="Rack", exact=True), page.locator(".rack-list").wait_for)
    hand.go(
        page.locator(f".slot a[href='/frame/{name}']"), page.get_by_role("button", name="Last knot tied now").wait_for
    )
    seen("machine")
    hand.go(page.get_by_role("button", name="Last knot tied now"), page.get_by_role("button", name="Stop").wait_for)
    hand.go(page.get_by_role("link", name="Record the job"), page.locator("#ring").wait_for)
    for field_, text in read.items():
        if text:
            hand.fill(f"#{field_}", text)
    page.wait_for_timeout(600)
    page.wait_for_load_state("networkidle")
    seen("job")
    _save(hand)


def _save(hand: Hand) -> None:
    """Save; where something is asked first, say that it is meant."""
    page = hand.page
    again = page.get_by_role("button", name="Save it all the same")
    back = page.get_by_role("button", name="Take it back")
    hand.go(page.get_by_role("button", name="Save", exact=True), back.or_(again).first.wait_for)
    if again.is_visible():
        hand.go(again, back.wait_for)


def _saved(hand: Hand) -> Callable[[], None]:
    return hand.page.get_by_role("button", name="Take it back").wait_for


def _card(hand: Hand) -> None:
    """The card, as what prints it asks for it."""
    page, act = hand.page, hand.took[-1]
    address = page.get_by_role("link", name="Card to print").get_attribute("href")
    act.clicks += 1
    begun = time.perf_counter()
    got = page.request.get(urljoin(page.url, address))
    act.waits.append(1000 * (time.perf_counter() - begun))
    assert got.body().startswith(b"%PDF")


def _slip(hand: Hand, base: str, name: str, seen: Callable[[str], None]) -> None:
    """A job that was never done is saved, and taken back."""
    page = hand.page
    page.goto(f"{base}/frame/{name}/job")
    hand.press(page.get_by_label("not restrung"))
    hand.fill("#mass", "326.1")
    _save(hand)
    seen("saved")
    hand.go(page.get_by_role("button", name="Take it back"), page.get_by_role("alert").wait_for)
    hand.go(
        page.get_by_role("alert").get_by_role("button", name="Take it back"),
        page.get_by_role("heading", name="History").wait_for,
    )


def looked_at(page, base: str, seen: Callable[[str], None]) -> None:
    """The screens that no act of the day leads over."""
    for name, path in OTHERS.items():
        page.goto(f"{base}{path}")
        seen(name)


def table(took: list[ActTaken]) -> str:
    """The acts in rows."""
    lines = ["| | clicks | keys | ms to the next screen |", "|---|---|---|---|"]
    lines += [f"| {t.what} | {t.clicks} | {t.keys} | {', '.join(f'{w:.0f}' for w in t.waits)} |" for t in took]
    return "\n".join(lines)


def shown(page, out: Path, width: int, schemes: tuple[str, ...]) -> Callable[[str], None]:
    """What keeps a small picture of each screen below a folder, of a long one its beginning."""

    def photograph(name: str) -> None:
        page.evaluate("document.fonts.ready.then(() => true)")
        for scheme in schemes:
            page.emulate_media(color_scheme=scheme)
            whole = Image.open(io.BytesIO(page.screenshot(full_page=True)))
            part = whole.crop((0, 0, whole.width, min(whole.height, LONGEST)))
            part.thumbnail((BROADEST, LONGEST))
            part.save(out / f"bench-{name}-{width}-{scheme}.webp", quality=50, method=6)
        page.emulate_media(color_scheme="light")

    return photograph
