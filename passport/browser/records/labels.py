"""What the fields of records are called at the screen: in the shop's language where the house has a word for them."""

from passport.browser.records.forms import NEW
from passport.render.theme.formats import Formats


def label(name: str, f: Formats) -> tuple[str, str]:
    """The label of a field by its key, and the language that it is in: the key itself, spelled out, where the house has no
    word for it, since records are written in English."""
    if words := (_said(f) | _seldom(f)).get(name):
        return words, f.words.language
    plain = name.replace("_", " ")
    return plain[:1].upper() + plain[1:], "en"


def heading(kind: str, title: str, at: str, f: Formats) -> tuple[str, str]:
    """What stands above a form: the kind of record and its ``title``, or the part of it that the form is of, then these."""
    _ = f.words.gettext
    called = {
        "player": _("Player"), "frame": _("Frame"), "string": _("String"), "model": _("Model"), "part": _("Part"),
        "lot": _("Lot in stock"), "blank": _("Blank"), "workshop": _("The shop"),
    }[kind]  # fmt: skip
    steps = [step for step in at.split(".") if step]
    named = [step for step in steps if step != NEW and not step.isdecimal()]
    new = steps[-1:] == [NEW] or (not title and kind != "workshop")
    begun = f": {_('A new one')}" if new else ""
    if not named:
        return f"{called}{begun}", title
    which = f" {steps[-1]}" if steps[-1].isdecimal() else ""
    return f"{label(named[-1], f)[0]}{which}{begun}", f"{called} {title}".strip()


def _said(f: Formats) -> dict[str, str]:
    _ = f.words.gettext
    return {
        "mass": _("Mass"), "balance": _("Balance"), "swingweight": _("Swingweight"), "twistweight": _("Twistweight"),
        "name": _("Name"), "full_name": _("Full name"), "contact": _("Contact"), "email": _("E-mail"), "phone": _("Telephone"),
        "address": _("Address"), "language": _("Language"), "shows": _("What pages show"), "history": _("Earlier jobs"),
        "photos": _("Photos"), "serial": _("Serial"), "messages": _("Messages"), "hoop": _("Tape on the hoop"),
        "plays_a_week": _("Plays a week"), "private_note": _("For the bench alone"), "model": _("Model"), "label": _("Label"),
        "grip": _("Grip"), "status": _("Status"), "since": _("Since"), "set": _("Set"), "photo": _("Photo"),
        "order": _("Order"), "setup": _("Targets"), "build": _("Parts on it"), "handle": _("Handle"), "jobs": _("Jobs"),
        "note": _("Note"), "number": _("Number"), "date": _("Day"), "strings": _("Strings"), "mains": _("Mains"),
        "crosses": _("Crosses"), "string": _("String"), "tension": _("Tension"), "gauge": _("Gauge"), "batch": _("Batch"),
        "prestretch": _("Pre-stretch"), "fitted": _("Fitted"), "removed": _("Taken off"), "repairs": _("Repairs"),
        "readings": _("Readings"), "price": _("Price"), "part": _("Part"), "place": _("Place"), "length": _("Length"),
        "width": _("Width"), "maker": _("Maker"), "material": _("Material"), "colour": _("Colour"), "kind": _("Kind"),
        "stock": _("In stock"), "sport": _("Sport"), "head": _("Head"), "pattern": _("String pattern"), "throat": _("Throat"),
        "places": _("Places"), "received": _("Received"), "location": _("Where it hangs"), "state": _("State"),
        "ring": _("String bed"), "age": _("Age"), "instruments": _("Instruments"), "checks": _("Checks"),
        "resolution": _("Last digit"), "known": _("Should show"), "reads": _("Shows"), "against": _("Held against"),
        "tagline": _("Tagline"), "hours": _("Hours"), "tolerances": _("Tolerances"), "units": _("Units"),
        "method": _("Method"), "look": _("Look"), "publish": _("Publishing"), "mail": _("Mail"), "weighed": _("Weighed"),
        "bought": _("Bought"), "counted": _("Counted"), "taken": _("Taken"), "amount": _("Amount"), "promised": _("Promised"),
        "asked": _("Asked for"), "condition": _("Condition"),
    }  # fmt: skip


def _seldom(f: Formats) -> dict[str, str]:
    """Fields that are seldom filled in at the bench."""
    _ = f.words.gettext
    return {
        "ready": _("Ready look"), "two_languages": _("Pages in two languages"), "accent": _("Accent colour"), "adopted": _("Taken over on"), "advised": _("Advice given"),
        "amplitude": _("Swing to one side"), "aramid": _("Aramid"), "ask": _("How players ask"),
        "assumed": _("Assumed"), "axis": _("Axis from the butt"), "bifilar": _("Hung on two wires"),
        "blocked": _("Blocked holes"), "branch": _("Branch"), "bumper": _("Bumper"), "by": _("By"),
        "came_as": _("Came as"), "check_every": _("Check due after"), "circumference": _("Circumference"),
        "commit_changes": _("Note changes in the folder’s history"), "covered": _("Covered by grip"),
        "covers": _("Covers"), "crack": _("Crack"), "crack_at": _("Where the crack is"),
        "cross_spacing": _("Spacing of the crosses"), "crosses_start": _("Crosses start at"), "decided": _("Decided"),
        "diameter": _("Diameter"), "did": _("What was done"), "display": _("For headings"),
        "dwell": _("Held at full pull"), "elsewhere": _("Done elsewhere by"), "endpoint": _("Address of the storage"),
        "felt": _("What the player says of it"), "felt_on_page": _("Of that, on the page"),
        "fingerprint": _("Fingerprint"), "first_cross": _("First cross from the top"), "fonts": _("Typefaces"),
        "footer": _("At the foot of the page"), "form": _("Form"), "frame": _("Frame"), "grommets": _("Grommets"),
        "grommets_at": _("Where the grommets are worn"), "gut": _("Natural gut"), "handed": _("Handed over"),
        "high": _("Highest"), "hung": _("How it hung"), "ink": _("Ink"),
        "into_throat": _("How far strings run into the throat"), "knots": _("Knots"),
        "label_roll": _("Roll of the label printer"), "listed_mass": _("Listed masses hold within"), "logo": _("Logo"),
        "loss": _("Restring at a loss of"), "lost": _("On the page of a lost frame"), "low": _("Lowest"),
        "machine": _("Machine"), "main_spacing": _("Spacing of the mains"), "mains_start": _("Mains start at"),
        "most": _("At most"), "nylon": _("Nylon"), "of": _("Of what"), "origin": _("Where its history comes from"),
        "other": _("Other"), "over": _("On top of"), "overlap": _("Overlap"), "owed": _("Still owed"),
        "paid": _("Paid"), "paint": _("Paint"), "passport": _("On every passport"), "path": _("Order of stringing"),
        "pendulum": _("Timed as a pendulum"), "per_length": _("Mass per length"), "period": _("Period"),
        "photo_alt": _("What the photo shows"), "pieces": _("Pieces of string"), "pivot": _("Pivot"),
        "placing": _("Parts sit within"), "played": _("Played since"), "polyester": _("Polyester"), "port": _("Port"),
        "rack": _("Rack"), "reader": _("Read with"), "reading": _("Reading of the name"), "rebuild": _("Rebuild"),
        "rebuilds": _("Rebuilds"), "region": _("Region"), "removable": _("Comes off again"),
        "repeatability": _("Repeats within"), "replaced_by": _("Replaced by"), "restring": _("When to restring"),
        "rim": _("Depth of the rim"), "rod": _("Test rod"), "sealed": _("Sealed"), "second": _("Second colour"),
        "security": _("Encryption"), "sender": _("Sender"), "server": _("Server"), "setting": _("Setting"),
        "shape": _("Shape"), "shared": _("Shared holes"), "short": _("Short side"),
        "show_checks": _("Show checks on pages"), "size": _("Size"), "skips": _("Skips"), "sleeves": _("Sleeves"),
        "spacing": _("Spacing"), "speed": _("Speed"), "start": _("Start"), "stencil": _("Stencil"),
        "step": _("Smallest portion"), "steps": _("Steps"), "string_outside": _("String outside the bed"),
        "strong": _("For strong words"), "supply": _("Supply"), "supports": _("Supports"), "swings": _("Swings"),
        "temperature": _("Temperature"), "text": _("For text"), "texts": _("Texts"),
        "throat_spacing": _("Spacing at the throat"), "tie_offs": _("Tie-offs"), "time": _("Time"), "to": _("To"),
        "told": _("Told"), "told_until": _("Told until"), "tuning": _("Tuning wanted"), "user": _("User"),
        "variants": _("Variants"), "visit": _("Where to find the shop"), "warranty": _("For the warranty"),
        "what": _("What"), "when": _("When"), "where": _("Where"), "widths": _("Widths"),
        "wires": _("Length of the wires"), "without": _("Read without"), "workshop": _("Workshop"),
        "wound": _("Wound"), "wound_from": _("Wound from"), "zones": _("Zones of pull"),
    }  # fmt: skip
