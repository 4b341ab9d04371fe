"""The typefaces that a shop may add for the scripts that the shipped ones lack: freely licensed files, known by their bytes.

All are of the Noto families (SIL Open Font License 1.1). The sums were measured on the files of Debian 12's packages
fonts-noto-core 20201225-1 and fonts-noto-cjk 1:20220127+repack1-1; a file with other bytes would print other bytes, so it
is not taken.
"""

import hashlib
import re
from dataclasses import dataclass
from typing import Final

FOLDER: Final = "fonts"
"""The folder of the content in which added typefaces stand, under their own names."""
MOST: Final = 30_000_000
"""Bytes of such a file."""


@dataclass(frozen=True, slots=True)
class KnownFace:
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


_SUMS = """
504d7407d86875acf7d04dfaa0fd7524d0b8797723bc4aa18022f29db25b0b6e  NotoSansArabic-Regular.ttf
ded6fc7359ca36d15d7aab9ef0c066e21ce48b26a069994d6602fa2cb9a1b952  NotoSansArabic-Bold.ttf
b5cbcb561b4b540ff11d7b6934577dbbbbb9e1d152d47f6f31f19176d58ff39c  NotoNaskhArabic-Bold.ttf
436900d5ad77d33e4234247f3076eaecd25b92b9bea0519514f684140e3566a7  NotoSansHebrew-Regular.ttf
d3b01343f71e8a93fffb84c345a1aecbaf4694b98d0eaace916cb9eac9e6dcd3  NotoSansHebrew-Bold.ttf
95150a28d438cba6c79393ef18ad06f39a8b53a7d457e61d8c9d585176ef36da  NotoSerifHebrew-Bold.ttf
79a470365ccb210fa3c7d8d8ff2e005ef9d983cfd067f735a0caf7e15070ca9f  NotoSansDevanagari-Regular.ttf
77ad688cfe1dc55185bf4edb4db3c614202c65dd23a1463ad0e23fc52bcc9a5c  NotoSansDevanagari-Bold.ttf
42a0d0664b51212894c8bb226ad8947c194f1ab1903555a41979877d3b9267be  NotoSerifDevanagari-Bold.ttf
9bb35b3547829ecc42041b6017e87fd4c5f1da1edcd00f59171777050f346018  NotoSansBengali-Regular.ttf
22c9ff99baca4d31c531ce450a1369beed889467e1ad964f4b8a6f810aa46955  NotoSansBengali-Bold.ttf
96cc17640329810e2ac1b53d61ec4f429ba9bf729d4f37623a296581d79a5133  NotoSerifBengali-Bold.ttf
a7bb7f92f165479af2f0556c4fd669b74c5959f464f603e18389b532f4d07a71  NotoSansTamil-Regular.ttf
7ef7071ba2fad67dcae397dc7f5bfd4dbce69d86cdc453c2cc4abe640df0b442  NotoSansTamil-Bold.ttf
1cb01b8096603e16917c67769f0f6b3faad390cab02b35fa81662dd5611dcc22  NotoSerifTamil-Bold.ttf
dfbd5ed0f1e68c3cbc51aa08f646d1ab0e68e7c4ceab70a69e465225ff701f93  NotoSansThai-Regular.ttf
97bbc8ea98328325285f2f552228c7aac1db39d8f38f0096a61ba7df1f1f780e  NotoSansThai-Bold.ttf
befef873c46740e20a49e8762c151d5fe1dddd0ecdddaf48766c709eae51f086  NotoSerifThai-Bold.ttf
bc9a5e2afcee249849e409aabe6e22330c479b878ea3e59bf5e7c84482d7ee53  NotoSansKhmer-Regular.ttf
cc74e7ac685da9a84e18b773ec8d80d06765aa1754bb14acc390c3620023c4dc  NotoSansKhmer-Bold.ttf
642cc0a8da68b6a2cb53017144eff68057c6731c42f5829601d15a25f28a9221  NotoSerifKhmer-Bold.ttf
9636c32c121f4fc1fc6963dfad60ea32c41889507118a46f83a818eacf40348e  NotoSansArmenian-Regular.ttf
a0f398d0205f0b96d6637ac66d92e6e42b230f8ed3853a050d0aa5792eb9b7f7  NotoSansArmenian-Bold.ttf
fea8914af4f165301e619655e1e5fa447c65c08077010c8153bfe2d599d85bc1  NotoSerifArmenian-Bold.ttf
ba75f2154fef9beac8439f94c631dc37ef9c708d32f9254bb019afdfa9aa3138  NotoSansGeorgian-Regular.ttf
2cee22513f5c94b5577fe1a91df94836dc9825ac78e5b3a9f3c49d1f038a5f11  NotoSansGeorgian-Bold.ttf
635bc1529b2ca28dfc694aa7cd1e9960c04fdfcde99ee5b7f7b34761d37259fe  NotoSerifGeorgian-Bold.ttf
4468a3a24516831874fb4a867b760a22257944584e478d32a97e3c4d4bfc6400  NotoSansGujarati-Regular.ttf
db2b642c28b021da8cb0f3463bf41376549c850aa718ca863ec3ff5d5df0f2f7  NotoSansGujarati-Bold.ttf
3ffd3aca4b23f250f3d1370375ae8c70884370bb7c5078a3733769045ae31472  NotoSerifGujarati-Bold.ttf
1db960ff6f506a98f5b3ece78f54618388c6187e7edf8ceee5ab63389c0db3ab  NotoSansGurmukhi-Regular.ttf
ded9c1f56a7ed0b835cfef5dd642f26cfc0f41a16fbc08008d376ddcc91d606e  NotoSansGurmukhi-Bold.ttf
a1550839d8dda8e422cc05b94ba13af13595f677255f106ad52b7fe020a7899a  NotoSerifGurmukhi-Bold.ttf
892b841b0b87ca3c2702bdc78d3031c8220f53e8f5f496ec5e37ccf0ca03ddf7  NotoSansKannada-Regular.ttf
fcb9918669a24e33b1464b33eeac24e9a0f54a50393dfdaeb1e596cfcf2dac47  NotoSansKannada-Bold.ttf
201c469f27e419ad5676f9a293dbcc76d2fc9cf4b0ad831efbf2723da3631236  NotoSerifKannada-Bold.ttf
5433f4a642b4325aa169a55c4c6b8d1c4a45c4e08bcd9cbe72888229709a8f2d  NotoSansMalayalam-Regular.ttf
abe54dff7c6539899f1208672ae4235207b3e6b8d49594e9ff02d972d5975a81  NotoSansMalayalam-Bold.ttf
f76f82ffac39f7490b3608761b14e8c416aa4554b1591725de86d36ab51745b4  NotoSerifMalayalam-Bold.ttf
cb3165071121b1e80c55a041d0c1f79b3bbc68e4b0eab37b0d881958dfc3ed7a  NotoSansTelugu-Regular.ttf
34e3a81c02ea8474f00b1046cbb183461648fd253a56475140d6b025db828b5b  NotoSansTelugu-Bold.ttf
3ccec8830f3a55b4395ae24ab73aae25b92ca05e293a352726b89cf5b06a16ad  NotoSerifTelugu-Bold.ttf
31f83eec724a27779d1434afc84beabee239c0ff77dc8d04bee9f49c60b23fdd  NotoSansSinhala-Regular.ttf
9ac3c2da2562fd3ce449e600a9954a3c5dad982145c85159449fe1c31f648a6e  NotoSansSinhala-Bold.ttf
a7b73afecc64acc2cf1aaf7a8eb2ab9eb2cc75bce6497240be29563fa450c87a  NotoSerifSinhala-Bold.ttf
6c3de7db369e85cba20255d161eeeb3d934ea3c4c51e2574c2ddcce79a25025c  NotoSansLao-Regular.ttf
b87a8592f1cdd8b15e1e827967afd45a8c5ffc1123773bc4bd023fe1ccecd321  NotoSansLao-Bold.ttf
0613b9803cc45e1794a0f87e79f5a70ff3119676509b6de8807540120107f4a0  NotoSerifLao-Bold.ttf
3fe9a4babc12081adc979e0313433e6ec85bb3ad069681c23ee8d8ea8b91332b  NotoSansMyanmar-Regular.ttf
e37e2ef189431020b1eaf4fb8d43252666dc24265d628145fff119613afea174  NotoSansMyanmar-Bold.ttf
37ce93b711966fbade660e2f9173c04aa80d1232c16cb5458e22cb8f6d0560fd  NotoSerifMyanmar-Bold.ttf
58bc43b062961b38ee45757d2e74e6a991a12011aa0399fb03004ac432e5c852  NotoSansEthiopic-Regular.ttf
cc16f0c43be76a2ecb5f6d08de4fe6705886b9be90251bfb5959a90955be7f1d  NotoSansEthiopic-Bold.ttf
57ae343eee78a8cb40532dc21edf7740001a39f557c61d85c06f66894cc15474  NotoSerifEthiopic-Bold.ttf
b76b0433203017ca80401b2ee0dd69350349871c4b19d504c34dbdd80541690a  NotoSansCJK-Regular.ttc
faa5f3656a78b2e2d450d27fe8382c778bc2b6bb5ea29c986664a6a435056ceb  NotoSansCJK-Bold.ttc
a5d4b046c127da3d7c72f98b46c41489cd29bf52abfdf18aba920903e920d4ac  NotoSerifCJK-Bold.ttc
"""
"""What ``sha256sum`` says of each file."""


def _known(line: str) -> KnownFace:
    sum_, name = line.split()
    kind, script, weight = re.fullmatch(r"Noto(Sans|Serif|Naskh)([A-Za-z]+)-(Regular|Bold)\..*", name).groups()  # type: ignore[union-attr]
    return KnownFace(name, script, sum_, bold=weight == "Bold", serif=kind != "Sans")


KNOWN: Final = tuple(map(_known, _SUMS.strip().splitlines()))
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


def by_bytes(data: bytes) -> KnownFace | None:
    """The known file that has these bytes, whatever it is called."""
    found = hashlib.sha256(data).hexdigest()
    return next((known for known in KNOWN if known.sha256 == found), None)


def script_of(sign: str) -> str:
    """The script of a sign that a known file is for; empty where there is none."""
    import unicodedata

    if "\u3000" <= sign <= "\u303f":
        return "CJK"  # punctuation of East Asia, some of it with other names
    return _SCRIPTS.get(unicodedata.name(sign, "").partition(" ")[0].partition("-")[0], "")


def named(script: str, *, bold: bool, serif: bool) -> list[KnownFace]:
    """The files of a script, those that fit a style best first."""

    def far(known: KnownFace) -> tuple[bool, bool]:
        return known.bold != bold, known.serif != serif

    return sorted((known for known in KNOWN if known.script == script), key=far)


SCRIPTS: Final = tuple(dict.fromkeys(known.script for known in KNOWN))
"""All scripts that there are files for."""
