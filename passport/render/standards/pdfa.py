"""A file for an archive: PDF/A-3a (ISO 19005-3) that is PDF/UA-1 as well, with the setups as data beside the print."""

import warnings
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from passport.render.print.page_box import Standard, Tools
from passport.render.standards import contents

NO_DAY = date(1970, 1, 1)
"""The day of what no record gives one: the first of computers' time."""
_UA = "http://www.aiim.org/pdfua/ns/id/"


@dataclass(frozen=True)
class ArchivedFile:
    """A file that goes along in the PDF, of a day."""

    name: str
    said: str
    day: date
    data: bytes = field(repr=False)


@dataclass(frozen=True)
class ArchiveStandard(Standard):
    """PDF/A-3a and PDF/UA-1 with files of data."""

    files: tuple[ArchivedFile, ...] = ()
    variant = "pdf/a-3a"

    @property
    def options(self) -> Mapping[str, Any]:
        """The files, in the order that the standard wants their names in."""
        from weasyprint import Attachment

        return {
            "attachments": [
                Attachment(
                    string=each.data.decode(), name=each.name, description=each.said, relationship="Data",
                    created=_midnight(each.day), modified=_midnight(each.day),
                )
                for each in sorted(self.files, key=lambda each: each.name.encode())
            ]
        }  # fmt: skip

    @contextmanager
    def making(self) -> Iterator[None]:
        """Without the engine's warning of the file with its own colour profile, which it does not close."""
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", r"unclosed file .*sRGB", ResourceWarning)
            yield

    def finish(self, pdf: Any, tools: Sequence[Tools]) -> None:
        """Name each file once, and both standards in metadata that any program finds."""
        if "AF" in pdf.catalog:
            pdf.catalog["AF"][:] = dict.fromkeys(pdf.catalog["AF"])
        contents.describe(pdf, _PROPERTIES)


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


_PROPERTIES = f"""\
<rdf:Description rdf:about="" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/"><pdfaid:part>3</pdfaid:part>\
<pdfaid:conformance>A</pdfaid:conformance></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfuaid="{_UA}"><pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"\
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">\
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">\
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>\
<pdfaSchema:namespaceURI>{_UA}</pdfaSchema:namespaceURI><pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>\
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource"><pdfaProperty:name>part</pdfaProperty:name>\
<pdfaProperty:valueType>Integer</pdfaProperty:valueType><pdfaProperty:category>internal</pdfaProperty:category>\
<pdfaProperty:description>Which part of ISO 14289 the file follows</pdfaProperty:description></rdf:li></rdf:Seq>\
</pdfaSchema:property></rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"""
"""Which standards the file follows; what PDF/A does not know by itself is described (ISO 19005-3, 6.6.2.3)."""
