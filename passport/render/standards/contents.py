"""What a finished document is made of, as its `finisher` sees it before it is written."""

import hashlib
import re
import uuid
from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape

from passport.render.print.page_box import of_type


def at(pdf: Any, reference: Any) -> Any:
    """The object that a reference names."""
    text = reference.decode() if isinstance(reference, bytes) else str(reference)
    return pdf.objects[int(text.split()[0])]


def painted(pdf: Any) -> Iterator[Any]:
    """The streams that paint: of pages, forms and patterns."""
    for page in of_type(pdf, "/Page"):
        yield at(pdf, page["Contents"])
    for thing in pdf.objects:
        extra = getattr(thing, "extra", {})
        if extra.get("Subtype") == "/Form" or "PatternType" in extra:
            yield thing


def told(pdf: Any, name: str) -> str:
    """An entry of the document's own description; empty where it has none."""
    return str(getattr(pdf.info.get(name), "string", "") or "")


def identity(pdf: Any) -> uuid.UUID:
    """A name for the document that follows from what is in it, so that the same records have the same."""
    whole = hashlib.sha256()
    for thing in pdf.objects[1:]:
        # The engine's own metadata hold a name by chance.
        if getattr(thing, "extra", {}).get("Type") != "/Metadata":
            whole.update(thing.data)
    return uuid.uuid5(uuid.NAMESPACE_OID, whole.hexdigest())


def moment(pdf: Any, name: str) -> str:
    """One of the document's dates as XMP writes it; empty where it has none."""
    found = re.fullmatch(r"D:(\d{4})(\d\d)(\d\d)(?:(\d\d)(\d\d)(\d\d)Z)?", told(pdf, name))
    if not found:
        return ""
    year, month, day, hour, minute, second = found.groups()
    return f"{year}-{month}-{day}" + (f"T{hour}:{minute}:{second}Z" if hour else "")


def described(pdf: Any, properties: str) -> bytes:
    """The packet of metadata: the document's own description, and properties of a standard, as XML."""
    named = [("xmp:CreateDate", moment(pdf, "CreationDate")), ("xmp:ModifyDate", moment(pdf, "ModDate"))]
    named.append(("pdf:Producer", told(pdf, "Producer")))
    plain = "".join(f"<{name}>{escape(value)}</{name}>" for name, value in named if value)
    title = escape(told(pdf, "Title"))
    return (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">\n'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"'
        ' xmlns:pdf="http://ns.adobe.com/pdf/1.3/">'
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>{plain}</rdf:Description>\n'
        f'{properties}\n</rdf:RDF></x:xmpmeta>\n<?xpacket end="w"?>'
    ).encode()


def describe(pdf: Any, properties: str) -> None:
    """Put that packet in the place of the engine's own, uncompressed, where any program finds it."""
    stream = at(pdf, pdf.catalog["Metadata"])
    stream.stream, stream.compress = [described(pdf, properties)], False
