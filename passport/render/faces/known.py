"""The typefaces that a shop may add for the scripts that the shipped ones lack: freely licensed files, known by their bytes.

All are of the Noto families (SIL Open Font License 1.1). The sums were measured on the files of Debian 12's packages
fonts-noto-core 20201225-1 and fonts-noto-cjk 1:20220127+repack1-1; a file with other bytes would print other bytes, so it
is not taken.
"""

import hashlib
from dataclasses import dataclass
from typing import Final

FOLDER: Final = "fonts"
"""The folder of the content in which added typefaces stand, under their own names."""
MOST: Final = 30_000_000
"""Bytes of such a file."""


@dataclass(frozen=True, slots=True)
class Known:
    """One file: the script that it is for, whether it is bold, whether it goes with the headings' typeface."""

    name: str
    script: str
    sha256: str
    bold: bool
    serif: bool

    @property
    def package(self) -> str:
        """The package of Debian and Ubuntu that has it."""
        return "fonts-noto-cjk" if self.script == "CJK" else "fonts-noto-core"


KNOWN: Final = (
    Known(
        "NotoSansArabic-Regular.ttf",
        "Arabic",
        "504d7407d86875acf7d04dfaa0fd7524d0b8797723bc4aa18022f29db25b0b6e",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansArabic-Bold.ttf",
        "Arabic",
        "ded6fc7359ca36d15d7aab9ef0c066e21ce48b26a069994d6602fa2cb9a1b952",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoNaskhArabic-Bold.ttf",
        "Arabic",
        "b5cbcb561b4b540ff11d7b6934577dbbbbb9e1d152d47f6f31f19176d58ff39c",
        bold=True,
        serif=True,
    ),
    Known(
        "NotoSansHebrew-Regular.ttf",
        "Hebrew",
        "436900d5ad77d33e4234247f3076eaecd25b92b9bea0519514f684140e3566a7",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansHebrew-Bold.ttf",
        "Hebrew",
        "d3b01343f71e8a93fffb84c345a1aecbaf4694b98d0eaace916cb9eac9e6dcd3",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoSerifHebrew-Bold.ttf",
        "Hebrew",
        "95150a28d438cba6c79393ef18ad06f39a8b53a7d457e61d8c9d585176ef36da",
        bold=True,
        serif=True,
    ),
    Known(
        "NotoSansDevanagari-Regular.ttf",
        "Devanagari",
        "79a470365ccb210fa3c7d8d8ff2e005ef9d983cfd067f735a0caf7e15070ca9f",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansDevanagari-Bold.ttf",
        "Devanagari",
        "77ad688cfe1dc55185bf4edb4db3c614202c65dd23a1463ad0e23fc52bcc9a5c",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoSerifDevanagari-Bold.ttf",
        "Devanagari",
        "42a0d0664b51212894c8bb226ad8947c194f1ab1903555a41979877d3b9267be",
        bold=True,
        serif=True,
    ),
    Known(
        "NotoSansBengali-Regular.ttf",
        "Bengali",
        "9bb35b3547829ecc42041b6017e87fd4c5f1da1edcd00f59171777050f346018",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansBengali-Bold.ttf",
        "Bengali",
        "22c9ff99baca4d31c531ce450a1369beed889467e1ad964f4b8a6f810aa46955",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoSerifBengali-Bold.ttf",
        "Bengali",
        "96cc17640329810e2ac1b53d61ec4f429ba9bf729d4f37623a296581d79a5133",
        bold=True,
        serif=True,
    ),
    Known(
        "NotoSansTamil-Regular.ttf",
        "Tamil",
        "a7bb7f92f165479af2f0556c4fd669b74c5959f464f603e18389b532f4d07a71",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansTamil-Bold.ttf",
        "Tamil",
        "7ef7071ba2fad67dcae397dc7f5bfd4dbce69d86cdc453c2cc4abe640df0b442",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoSerifTamil-Bold.ttf",
        "Tamil",
        "1cb01b8096603e16917c67769f0f6b3faad390cab02b35fa81662dd5611dcc22",
        bold=True,
        serif=True,
    ),
    Known(
        "NotoSansThai-Regular.ttf",
        "Thai",
        "dfbd5ed0f1e68c3cbc51aa08f646d1ab0e68e7c4ceab70a69e465225ff701f93",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansThai-Bold.ttf",
        "Thai",
        "97bbc8ea98328325285f2f552228c7aac1db39d8f38f0096a61ba7df1f1f780e",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoSerifThai-Bold.ttf",
        "Thai",
        "befef873c46740e20a49e8762c151d5fe1dddd0ecdddaf48766c709eae51f086",
        bold=True,
        serif=True,
    ),
    Known(
        "NotoSansKhmer-Regular.ttf",
        "Khmer",
        "bc9a5e2afcee249849e409aabe6e22330c479b878ea3e59bf5e7c84482d7ee53",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansKhmer-Bold.ttf",
        "Khmer",
        "cc74e7ac685da9a84e18b773ec8d80d06765aa1754bb14acc390c3620023c4dc",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoSerifKhmer-Bold.ttf",
        "Khmer",
        "642cc0a8da68b6a2cb53017144eff68057c6731c42f5829601d15a25f28a9221",
        bold=True,
        serif=True,
    ),
    Known(
        "NotoSansCJK-Regular.ttc",
        "CJK",
        "b76b0433203017ca80401b2ee0dd69350349871c4b19d504c34dbdd80541690a",
        bold=False,
        serif=False,
    ),
    Known(
        "NotoSansCJK-Bold.ttc",
        "CJK",
        "faa5f3656a78b2e2d450d27fe8382c778bc2b6bb5ea29c986664a6a435056ceb",
        bold=True,
        serif=False,
    ),
    Known(
        "NotoSerifCJK-Bold.ttc",
        "CJK",
        "a5d4b046c127da3d7c72f98b46c41489cd29bf52abfdf18aba920903e920d4ac",
        bold=True,
        serif=True,
    ),
)
NAMES: Final = frozenset(known.name for known in KNOWN)
HAN: Final = ("ja", "ko", "zh-Hans", "zh-Hant")
"""The languages whose Han signs are drawn each in their own way, in the order of the faces in a file for CJK."""
_SCRIPTS: Final = {
    "CJK": "CJK",
    "HIRAGANA": "CJK",
    "KATAKANA": "CJK",
    "HANGUL": "CJK",
    "IDEOGRAPHIC": "CJK",
    "FULLWIDTH": "CJK",
    "HALFWIDTH": "CJK",
    "BOPOMOFO": "CJK",
} | {known.script.upper(): known.script for known in KNOWN}
"""Scripts by the first word of their signs' names in the Unicode Character Database."""


def by_bytes(data: bytes) -> Known | None:
    """The known file that has these bytes, whatever it is called."""
    found = hashlib.sha256(data).hexdigest()
    return next((known for known in KNOWN if known.sha256 == found), None)


def script_of(sign: str) -> str:
    """The script of a sign that a known file is for; empty where there is none."""
    import unicodedata

    return _SCRIPTS.get(unicodedata.name(sign, "").partition(" ")[0].partition("-")[0], "")


def named(script: str, *, bold: bool, serif: bool) -> list[Known]:
    """The files of a script, those that fit a style best first."""

    def far(known: Known) -> tuple[bool, bool]:
        return known.bold != bold, known.serif != serif

    return sorted((known for known in KNOWN if known.script == script), key=far)


SCRIPTS: Final = tuple(dict.fromkeys(known.script for known in KNOWN))
"""All scripts that there are files for."""
