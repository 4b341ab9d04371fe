"""What the fields of records are called at the screen: in the shop's language where the house has a word for them."""

from passport.render.theme.formats import Formats


def label(name: str, f: Formats) -> tuple[str, str]:
    """The label of a field by its key, and the language that it is in: the key itself, spelled out, where no catalogue
    has a word for it, since records are written in English."""
    words = _said(f).get(name)
    if words:
        return words, f.words.language
    plain = name.replace("_", " ")
    return plain[:1].upper() + plain[1:], "en"


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
