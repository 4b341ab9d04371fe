"""A print shop's file: PDF/X-4 (ISO 15930-7), in inks instead of a screen's colours."""

import re
from collections.abc import Sequence
from typing import Any

from passport.render.print.page_box import Standard, Tools, of_type
from passport.render.print.pdf import FaultyDocument
from passport.render.standards import contents, tooling
from passport.render.standards.inks import CONDITION, inks, profile
from passport.render.theme.textfit import MM_PER_PT

_COLOUR = re.compile(rb"(?<!\S)(\d*\.?\d+) (\d*\.?\d+) (\d*\.?\d+) (rg|RG)(?!\S)")
_SAID = "FOGRA39L: offset printing on coated paper, ISO 12647-2:2004/Amd 1"
_FOREIGN = (
    "a picture or a gradient in a screen's colours, which a print shop's file cannot hold: take it out of the shop's own"
    " templates and styles, or print without --press"
)


class PressStandard(Standard):
    """PDF/X-4 for offset printing on coated paper."""

    variant = "pdf/x-4"
    dated = True
    draws_marks = True

    def finish(self, pdf: Any, tools: Sequence[Tools]) -> None:
        """Turn every colour into inks, draw what is for tools, say for which press all of this is.

        Raises passport.render.print.pdf.FaultyDocument where something has colours that cannot become inks.
        """
        _refuse_foreign(pdf)
        for stream in contents.painted(pdf):
            stream.stream = [_COLOUR.sub(_in_inks, item) if isinstance(item, bytes) else item for item in stream.stream]
        _draw(pdf, tools)
        _intend(pdf)
        contents.describe(pdf, _properties(pdf))


def _in_inks(found: re.Match[bytes]) -> bytes:
    """An operator that sets a colour of a screen as one that sets inks."""
    colour = "#" + "".join(f"{round(255 * float(part)):02x}" for part in found.groups()[:3])
    return " ".join(f"{part / 100:g}" for part in inks(colour)).encode() + (b" k" if found[4] == b"rg" else b" K")


def _refuse_foreign(pdf: Any) -> None:
    """FaultyDocument where a picture or a gradient is left that the engine drew by itself."""
    for thing in pdf.objects:
        extra = getattr(thing, "extra", {})
        shading = isinstance(thing, dict) and "ShadingType" in thing
        if shading or (extra.get("Subtype") == "/Image" and extra.get("ColorSpace") != "/DeviceGray"):
            raise FaultyDocument(_FOREIGN)


def _draw(pdf: Any, tools: Sequence[Tools]) -> None:
    """Draw the lines for tools on each page, above all else."""
    kind, pages = type(pdf.catalog), of_type(pdf, "/Page")
    resources = contents.at(pdf, pages[0]["Resources"])
    colours = contents.at(pdf, resources["ColorSpace"])
    # The engine's own names for colours that nothing here has; this standard would have them be of the press.
    colours.clear()
    for ink in sorted(set().union(*(tooling.used(each) for each in tools))):
        shown = " ".join(f"{part:g}" for part in tooling.SHOWN[ink])
        function = f"<</FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [{shown}] /N 1>>"
        colours[ink] = f"[/Separation /{ink} /DeviceCMYK {function}]"
    resources["ExtGState"][tooling.OVER] = kind({"Type": "/ExtGState", "OP": "true", "op": "true", "OPM": 1})
    for page, each in zip(pages, tools, strict=True):
        stream = contents.at(pdf, page["Contents"])
        height = float(page["MediaBox"][3]) * MM_PER_PT
        stream.stream = [b"q", *stream.stream, b"Q", *tooling.drawn(each, height)]


def _intend(pdf: Any) -> None:
    """Say for which printing condition the inks are, and give its profile."""
    known = next(thing for thing in pdf.objects if hasattr(thing, "extra"))
    kind, text = type(pdf.catalog), type(pdf.info["Title"])
    stream = type(contents.at(pdf, pdf.catalog["Metadata"]))([profile()], {"N": 4}, known.compress)
    pdf.add_object(stream)
    intent = {
        "Type": "/OutputIntent",
        "S": "/GTS_PDFX",
        "OutputConditionIdentifier": text(CONDITION),
        "OutputCondition": text(_SAID),
        "RegistryName": text("http://www.color.org"),
        "Info": text(_SAID),
        "DestOutputProfile": stream.reference,
    }
    pdf.catalog["OutputIntents"] = type(pdf.pages["Kids"])([kind(intent)])


def _properties(pdf: Any) -> str:
    """What the standard asks of the metadata: which standard, whether traps are in it, and which document this is."""
    spaces = {
        "pdfxid": "http://www.npes.org/pdfx/ns/id/",
        "pdf": "http://ns.adobe.com/pdf/1.3/",
        "xmp": "http://ns.adobe.com/xap/1.0/",
        "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    }
    named = {
        "pdfxid:GTS_PDFXVersion": "PDF/X-4",
        "pdf:Trapped": "False",
        "xmp:MetadataDate": contents.moment(pdf, "ModDate"),
        "xmpMM:DocumentID": f"uuid:{contents.identity(pdf)}",
        "xmpMM:VersionID": "1",
        "xmpMM:RenditionClass": "default",
    }
    declared = "".join(f' xmlns:{name}="{space}"' for name, space in spaces.items())
    told = "".join(f"<{name}>{value}</{name}>" for name, value in named.items())
    return f'<rdf:Description rdf:about=""{declared}>{told}</rdf:Description>'


PRESS = PressStandard()
